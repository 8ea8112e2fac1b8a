package scenarios

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The built-in rigs have believable values: nothing to warn of.
func TestBuiltInRigsArePlausible(t *testing.T) {
	t.Parallel()
	for _, name := range Names(RigKind) {
		_, review, err := ReviewRig(name)
		require.NoError(t, err)
		require.Empty(t, review.Doubtful, name)
	}
}

// A value that the document leaves out is listed as a default, a written one is not, even if
// it equals the default.
func TestReviewListsTheDefaults(t *testing.T) {
	t.Parallel()
	_, text, err := Text(RigKind, "pane-hoist")
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, os.WriteFile(file, append(text, "clock: {tick: 250us}\n"...), 0o600))
	_, review, err := ReviewRig(file)
	require.NoError(t, err)
	var paths []string
	for _, f := range review.Defaults {
		paths = append(paths, f.Path)
	}
	require.NotContains(t, paths, "load.mass_kg")
	require.NotContains(t, paths, "clock.tick")
	require.NotContains(t, paths, "partner.brake.static_nm", "there is no partner")
	require.Contains(t, paths, "clock.safety_scan")
	require.Contains(t, paths, "brake.condition")
}

// A warning stands at the line of its value.
func TestReviewPlacesItsWarnings(t *testing.T) {
	t.Parallel()
	_, text, err := Text(RigKind, "pane-hoist")
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, os.WriteFile(file, append(text, "clock:\n  link_watchdog: 10ms\n"...), 0o600))
	_, review, err := ReviewRig(file)
	require.NoError(t, err)
	require.Len(t, review.Doubtful, 2, "outside the usual range, and below two safety scans")
	for _, p := range review.Doubtful {
		require.True(t, p.Warning)
		require.Contains(t, p.Excerpt, "link_watchdog: 10ms")
	}
}

// On a rig with a guard vet asks the sequence for reactions that another machine does not need.
func TestVetAsksForReactionsToAGuard(t *testing.T) {
	t.Parallel()
	for guard, want := range map[string]int{"none": 0, "locked": 3} {
		file := filepath.Join(t.TempDir(), "scenario.yaml")
		text := "scenario: guarded\ntitle: A machine\nrig: pane-hoist\nsequence: hasty\nset: {judge.directions: down, safety.guard: " + guard + "}\nexpect: {end: pass, obligations: all}\n"
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		_, found, err := Vet(file, Below)
		require.NoError(t, err)
		require.Len(t, found, want, "%v", found)
		for _, p := range found {
			require.True(t, p.Warning)
			require.Equal(t, 4, p.Line)
			require.Contains(t, p.Message, "rig pane-hoist has a guard, and in sequence hasty there is no reaction to")
		}
	}
}
