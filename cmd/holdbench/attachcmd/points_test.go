package attachcmd

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence/st"
	"holdbench/sim/fieldbus"
)

// The declarations that are printed compile, for every sequence: each point is an input or an output of
// its type, and each word a constant with its place.
func TestDeclarationsCompile(t *testing.T) {
	t.Parallel()
	for _, name := range scenarios.Names(scenarios.SequenceKind) {
		logic, _, err := scenarios.LoadLogic(name, scenarios.Below)
		require.NoError(t, err, name)
		points := fieldbus.Points(logic.About())
		p, warnings, err := st.Compile(name+".st", declarations(points, name))
		require.NoError(t, err, name)
		require.Empty(t, warnings, name)
		m, err := p.New(p.Blocks[0])
		require.NoError(t, err, name)
		value := func(variable string) st.Ref {
			r, err := p.Find(p.Blocks[0], variable)
			require.NoError(t, err, name)
			return r
		}
		for i := range points {
			v := value(points[i].Name).Variable()
			section, kind := st.Input, [...]st.Kind{st.Bool, st.Uint, st.Real}[points[i].Type]
			if points[i].Area.FromController() {
				section = st.Output
			}
			assert.Equal(t, section, v.Section, v.Name)
			assert.Equal(t, kind, v.Type.Kind(), v.Name)
			for place, w := range words(&points[i]) {
				assert.Equal(t, int64(place), m.Int(value("word_"+points[i].Name+"_"+identifier(w))), w)
			}
		}
	}
}
