package scenarios

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// drill is a small scenario.
type drill struct {
	Scenario string             `yaml:"scenario"`
	Seed     uint64             `yaml:"seed"`
	Set      map[string]string  `yaml:"set"`
	Spread   map[string]float64 `yaml:"spread"`
	Script   []drillAction      `yaml:"script"`
	Expect   struct {
		Within time.Duration       `yaml:"within"`
		Drop   map[string]*float64 `yaml:"load_drop_mm"`
		Slow   *time.Duration      `yaml:"slow"`
	} `yaml:"expect"`
}

type drillAction struct {
	At    time.Duration              `yaml:"at"`
	Set   map[string]map[string]bool `yaml:"set"`
	Share float64                    `yaml:"share"`
	Scans int                        `yaml:"scans"`
}

// FuzzDecode: any text is either read, and then holds finite numbers and no negative
// time, or refused with messages that fit on a line and places that exist; the same
// text always gives the same.
func FuzzDecode(f *testing.F) {
	files, err := filepath.Glob("testdata/strict/*.yaml")
	require.NoError(f, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		got, _, err := decode[drill]("doc.yaml", text)
		again, _, errAgain := decode[drill]("doc.yaml", text)
		if err != nil {
			require.EqualError(t, errAgain, err.Error())
			checkProblems(t, text, err)
			return
		}
		require.NoError(t, errAgain)
		require.Equal(t, got, again)
		checkDrill(t, got)
	})
}

func checkProblems(t *testing.T, text []byte, err error) {
	t.Helper()
	var all problem.List
	require.ErrorAs(t, err, &all)
	lines := strings.Split(normalised(text), "\n")
	for _, p := range all {
		require.Equal(t, "doc.yaml", p.File)
		require.NotEmpty(t, p.Message)
		require.NotContains(t, p.Message, "\n")
		require.NotContains(t, p.Message, "the YAML library failed")
		if p.Line == 0 {
			require.Empty(t, p.Excerpt)
			continue
		}
		require.LessOrEqual(t, p.Line, len(lines))
		require.Positive(t, p.Column)
		require.LessOrEqual(t, p.Column, max(len([]rune(lines[p.Line-1])), 1))
		require.Equal(t, 1, strings.Count(p.Excerpt, "\n"))
	}
}

func checkDrill(t *testing.T, d drill) {
	t.Helper()
	for _, x := range d.Spread {
		finite(t, x)
	}
	for _, x := range d.Expect.Drop {
		if x != nil {
			finite(t, *x)
		}
	}
	require.GreaterOrEqual(t, d.Expect.Within, time.Duration(0))
	for _, a := range d.Script {
		finite(t, a.Share)
		require.GreaterOrEqual(t, a.At, time.Duration(0))
	}
}

func finite(t *testing.T, x float64) {
	t.Helper()
	require.False(t, math.IsNaN(x) || math.IsInf(x, 0))
}
