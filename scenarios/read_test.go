package scenarios

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant"
	"holdbench/plant/problem"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// TestBrokenDocuments reads every document of testdata/broken; beside each is
// the expected report.
func TestBrokenDocuments(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("testdata/broken/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			got := said(t, file)
			require.NotEmpty(t, got, "nothing was found wrong")
			golden := strings.TrimSuffix(file, ".yaml") + ".golden"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o600))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
		})
	}
}

func said(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	kind, ok := kindOf(text)
	if !ok {
		kind = RigKind
	}
	var warnings problem.List
	switch kind {
	case ScenarioKind:
		_, warnings, err = LoadCase(file, Overrides{})
	case SequenceKind:
		_, warnings, err = LoadSequence(file)
	default:
		_, warnings, err = LoadRig(file)
	}
	var all []string
	if err != nil {
		all = append(all, err.Error())
	}
	for _, d := range warnings {
		all = append(all, d.Error())
	}
	return filepath.ToSlash(strings.Join(all, "\n")) + "\n"
}

func TestDurationsNeedTheirUnit(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, message string }{
		{"8ms", ""}, {"250us", ""}, {"1.5s", ""}, {"8h", ""}, {"1m30s", ""}, {"0s", ""}, {"0", ""},
		{"8", `clock.tick is 8; must be written with its unit, such as 8s or 8ms`},
		{"-8ms", `clock.tick is "-8ms"; must be 0 or more`},
		{"8 ms", `clock.tick is "8 ms"; must be a duration such as 250us, 8ms, 1.5s or 8h`},
		{"[8ms]", `clock.tick is a list; must be a duration such as 250us, 8ms, 1.5s or 8h`},
	} {
		t.Run(c.text, func(t *testing.T) {
			src, err := read("rig.yaml", []byte("rig: r\nclock: {tick: "+c.text+"}\n"))
			require.NoError(t, err)
			r := plant.Defaults()
			err = src.decode("$", src.root(), &r)
			if c.message == "" {
				require.NoError(t, err)
				return
			}
			var found problem.List
			require.ErrorAs(t, err, &found)
			require.Len(t, found, 1)
			require.Equal(t, c.message, found[0].Message)
			require.Equal(t, [2]int{2, 15}, [2]int{found[0].Line, found[0].Column})
		})
	}
}

// The caret is below its column, whatever precedes it.
func TestExcerptMarksItsColumn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.StringMatching(`[a-zäöü漢\t :\-]{1,40}`).Draw(t, "line")
		column := rapid.IntRange(1, len([]rune(line))).Draw(t, "column")
		shown := strings.Split(excerpt(line, 1, column), "\n")
		require.Len(t, shown, 2)
		bar := strings.Index(shown[0], "| ") + 2
		mark := strings.Index(shown[1], "^")
		before := string([]rune(line)[:column-1])
		require.Equal(t, runewidth.StringWidth(printable(before)), mark-bar)
	})
}

func TestPathsFallBackToWhatIsThere(t *testing.T) {
	t.Parallel()
	src, err := read("rig.yaml", []byte("rig: r\nload:\n  mass_kg: 5\n"))
	require.NoError(t, err)
	for path, want := range map[string][2]int{
		"$.load.mass_kg":         {3, 12},
		"$.load.start_mm":        {2, 1},
		"$.judge.dwell":          {1, 1},
		"$.set.'rig.load'.x":     {1, 1},
		"$.load.list[3].nothing": {2, 1},
	} {
		p := src.problem(path, 0, "x")
		require.Equal(t, want, [2]int{p.Line, p.Column}, path)
	}
}

// Any document is read or refused with messages; reading never panics.
func fuzzDocument(f *testing.F, kind Kind, readIt func(name string, text []byte) error) {
	f.Helper()
	for _, e := range Builtin(kind) {
		_, text, err := e.read()
		require.NoError(f, err)
		f.Add(text)
	}
	files, err := filepath.Glob("testdata/broken/*.yaml")
	require.NoError(f, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if err := readIt("fuzz.yaml", text); err != nil {
			require.NotEmpty(t, err.Error())
			require.NotContains(t, err.Error(), "the YAML library failed", "the parser panicked")
		}
	})
}

func FuzzRig(f *testing.F) {
	fuzzDocument(f, RigKind, func(name string, text []byte) error {
		src, err := read(name, text)
		if err != nil {
			return err
		}
		_, _, err = src.rig("$", src.root())
		return err
	})
}

func FuzzSequence(f *testing.F) {
	fuzzDocument(f, SequenceKind, func(name string, text []byte) error {
		_, _, err := ParseSequence(name, text)
		return err
	})
}

func FuzzScenario(f *testing.F) {
	documents := new(cache) // the rigs and sequences that are referred to are read once
	fuzzDocument(f, ScenarioKind, func(name string, text []byte) error {
		_, _, err := documents.parseCase(name, text, Overrides{})
		return err
	})
}
