package st_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sequence/st"
)

// FuzzProgram compiles any text and runs what compiles. Nothing panics, loops for ever or grows:
// a scan has a budget, and memory is that of the instance.
func FuzzProgram(f *testing.F) {
	files, err := filepath.Glob("testdata/errors/*.st")
	require.NoError(f, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(string(text))
	}
	for _, d := range dialects(f) {
		f.Add(d.text)
	}
	f.Add(steps)
	f.Add(standardBodies)
	f.Add("PROGRAM p VAR i : INT; a : ARRAY[0..3] OF ARRAY[1..2] OF STRING[5]; END_VAR\nWHILE TRUE DO a[i][1] := CONCAT(a[i][2], 'x'); i := i + 1; END_WHILE; END_PROGRAM")
	f.Add("FUNCTION f : LREAL VAR_INPUT x : LREAL; END_VAR f := x ** 2 + LIMIT(0.0, x, MAX(1, 2, x)); END_FUNCTION PROGRAM p VAR r : LREAL; END_VAR r := f(f(r) + 1.0); END_PROGRAM")
	f.Add("PROGRAM p VAR t : TIME := T#1d2h3m4s5ms6us7ns; END_VAR t := t * 2.5 / 3; END_PROGRAM")
	f.Fuzz(func(t *testing.T, text string) {
		p, warnings, err := st.Compile("fuzz.st", text)
		if err != nil {
			list := problem.Of(err)
			require.NotEmpty(t, list)
			for _, w := range append(list, warnings...) {
				require.Positive(t, w.Line, "%v", w)
				require.Positive(t, w.Column, "%v", w)
				require.NotEmpty(t, w.Message)
			}
			return
		}
		_ = p.Vet(st.VetOptions{})
		for _, b := range p.Blocks {
			_ = p.Vet(st.VetOptions{Block: b, Main: b, Steps: flagsOf(b)})
			for _, v := range b.Variables {
				if r, err := p.Find(b, v.Name); err == nil {
					_ = p.Cases(b, r)
				}
			}
			m, err := p.New(b)
			if err != nil {
				continue
			}
			m.SetBudget(2000)
			scans(t, m)
		}
	})
}

// flagsOf takes all BOOL variables of a block for steps.
func flagsOf(b *st.Block) []string {
	var names []string
	for _, v := range b.Variables {
		if v.Type.Kind() == st.Bool {
			names = append(names, v.Name)
		}
	}
	return names
}

// scans runs a program and a copy of it, which must do the same.
func scans(t *testing.T, m *st.Machine) {
	t.Helper()
	_ = m.Scan(0)
	c := m.Copy()
	for i := range 3 {
		now := time.Duration(i+1) * time.Second
		require.Equal(t, m.Scan(now), c.Scan(now))
	}
	for _, v := range m.Block().Variables {
		r, err := m.Program().Find(m.Block(), v.Name)
		require.NoError(t, err)
		require.Equal(t, m.Format(r), c.Format(r))
	}
	m.PowerCycle()
	_ = m.Scan(10 * time.Second)
}

// FuzzDuration reads any duration and writes it back.
func FuzzDuration(f *testing.F) {
	for _, text := range []string{"T#5s", "T#-1d2h3m4s5ms", "T#1.5h", "T#", "T#25h_15m", "T#9999999999999d"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, _, err := st.Compile("fuzz.st", "PROGRAM p VAR t : TIME := "+text+"; END_VAR END_PROGRAM")
		if err != nil {
			return
		}
		m := &bench{t: t}
		m.Machine, err = p.New(p.Blocks[len(p.Blocks)-1])
		if err != nil {
			return
		}
		r, err := p.Find(m.Block(), "t")
		if err != nil || r.Type().Kind() != st.Time {
			return // the text is more than a duration
		}
		require.Equal(t, m.get("t"), value(t, "", "TIME", m.get("t")))
	})
}
