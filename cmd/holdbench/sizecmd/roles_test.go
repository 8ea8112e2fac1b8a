package sizecmd

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

// renamed is the reference with another name for every parameter, and its roles.
func renamed(t *testing.T) sequence.Document {
	t.Helper()
	d, _, err := scenarios.LoadSequence("reference")
	require.NoError(t, err)
	names := regexp.MustCompile(`\b(` + strings.Join(d.ParamNames(), "|") + `)\b`)
	anew := func(text sequence.Text) sequence.Text {
		return sequence.Text(names.ReplaceAllString(string(text), "our_$1"))
	}
	transitions := func(list []sequence.Transition) {
		for i := range list {
			list[i].When, list[i].For, list[i].After, list[i].Times = anew(list[i].When), anew(list[i].For), anew(list[i].After), anew(list[i].Times)
		}
	}
	for i := range d.Params {
		d.Params[i] = sequence.Param{Name: "our_" + d.Params[i].Name, Value: anew(d.Params[i].Value)}
	}
	for i := range d.Roles {
		d.Roles[i].Param = anew(d.Roles[i].Param)
	}
	for i := range d.States {
		for k := range d.States[i].Keep {
			d.States[i].Keep[k].Value = anew(d.States[i].Keep[k].Value)
		}
		for k := range d.States[i].Set {
			d.States[i].Set[k].Value = anew(d.States[i].Set[k].Value)
		}
		transitions(d.States[i].Go)
	}
	transitions(d.Any)
	return *d
}

// A sizing follows the roles: with other names of the parameters it comes to the same values,
// and writes them under these names.
func TestSizingFollowsRoles(t *testing.T) {
	t.Parallel()
	z := sizedForTest(t, "kiln-gate", nil)
	rig, _, err := scenarios.LoadRig("kiln-gate")
	require.NoError(t, err)
	own := map[string]string{}
	for name, value := range rig.Sequence {
		own["our_"+name] = regexp.MustCompile(`[a-z_]+_(nm|mm|s)\b`).ReplaceAllString(value, "our_$0")
	}
	rig.Sequence = own
	ready, _, err := sim.NewCase(sim.Scenario{Scenario: "s", Title: "t"}, *rig, renamed(t))
	require.NoError(t, err)
	params := command.SizingParams(ready.Sequence)
	require.Len(t, params, len(z.params))
	got, err := sizing.Compute(&ready.Rig, params, sizing.DefaultAssumptions(&ready.Rig, params))
	require.NoError(t, err)
	want := *z.result
	require.Empty(t, want.Missing)
	require.Len(t, got.Settings, len(want.Settings))
	for i, s := range want.Settings {
		s.Key = strings.Replace(s.Key, "sequence.", "sequence.our_", 1)
		assert.Equal(t, s, got.Settings[i])
	}
}
