package probe_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/probe"
)

func came(fault, state string, kind probe.Kind, excused bool) probe.Outcome {
	return probe.Outcome{
		Cell: probe.Cell{Fault: fault, State: state, Moment: probe.Entry, Spec: fault + "@" + state},
		Kind: kind, Class: sim.Refused, Unpreventable: excused, Broken: []string{}, Path: []string{},
	}
}

// The dangerous first: missed, then dropped loads, then runs that never end, then false
// alarms; what no sequence could have prevented comes after all of them.
func TestFindingsAreRanked(t *testing.T) {
	t.Parallel()
	m := &probe.Results{States: []string{"a", "b"}, Faults: []string{"x", "y"}}
	m.Outcomes = []probe.Outcome{
		came("x", "a", probe.Fine, false), came("x", "a", probe.FalseAlarm, false), came("x", "b", probe.Endless, false),
		came("y", "a", probe.Dropped, true), came("y", "a", probe.Dropped, false), came("y", "b", probe.Missed, false), came("x", "b", probe.Missed, false),
		came("x", "b", probe.Missed, true),
	}
	m.Outcomes[5].LoadDropMM = 3
	var got []string
	for _, f := range m.Findings() {
		word := string(f.Kind)
		if f.Excused {
			word += " excused"
		}
		got = append(got, word)
	}
	assert.Equal(t, []string{"missed", "dropped", "endless", "false-alarm", "missed excused", "dropped excused"}, got)
	first := m.Findings()[0]
	assert.Equal(t, []int{5, 6}, first.Cells, "of equal ones the larger load drop comes first")
	assert.Equal(t, []string{"y", "x"}, first.Faults)
	grid := m.Matrix()
	assert.Equal(t, probe.MatrixCell{Cells: 2, Worst: &m.Outcomes[1]}, grid[0][1])
	assert.Equal(t, probe.MatrixCell{Cells: 3, Worst: &m.Outcomes[6]}, grid[0][2])
	assert.Equal(t, probe.MatrixCell{Cells: 2, Worst: &m.Outcomes[4]}, grid[1][1], "what could have been prevented comes ahead of what could not")
	assert.Equal(t, probe.MatrixCell{}, grid[0][0], "no whole run was tried")
}

func TestOnlyChangesAreShown(t *testing.T) {
	t.Parallel()
	was := []probe.Outcome{came("x", "a", probe.Fine, false), came("x", "b", probe.Dropped, false), came("y", "a", probe.Fine, false), came("y", "b", probe.Fine, false)}
	is := []probe.Outcome{came("x", "a", probe.Fine, false), came("x", "b", probe.Fine, false), came("y", "a", probe.Missed, false), came("z", "a", probe.Fine, false)}
	is[0].DurationS, is[0].LoadDropMM, is[0].Route = 9, 0.1, []string{"another-way@a"}
	list := probe.Compare(was, is)
	require.Len(t, list, 4)
	assert.Equal(t, "y", list[0].Is.Fault)
	assert.True(t, list[0].Worse(), "fine became missed")
	assert.False(t, list[1].Worse(), "a dropped load became fine")
	assert.Equal(t, "z", list[2].Is.Fault)
	assert.Nil(t, list[2].Was)
	assert.Equal(t, "y@b", list[3].Was.Spec)
	assert.Nil(t, list[3].Is)
	assert.Empty(t, probe.Compare(is, is))
}

// A pair is found again by both its faults and how bad each is, not by the time at which the
// other one came; a finding names both.
func TestPairsAreHeldAgainstEachOther(t *testing.T) {
	t.Parallel()
	pair := func(other, route string, kind probe.Kind) probe.Outcome {
		o := came("x", "a", kind, false)
		o.With, o.Route = other, []string{route}
		return o
	}
	was := []probe.Outcome{pair("y", "y=1@a+3ms", probe.Fine), pair("y", "y=2@a+3ms", probe.Fine), pair("z", "z@a+3ms", probe.Fine)}
	is := []probe.Outcome{pair("y", "y=1@a+4ms", probe.Fine), pair("y", "y=2@a+4ms", probe.Missed), pair("z", "z@a+4ms", probe.Fine)}
	list := probe.Compare(was, is)
	require.Len(t, list, 1)
	assert.Equal(t, "y=2@a+4ms", list[0].Is.Route[0])
	assert.Equal(t, "y=2@a+3ms", list[0].Was.Route[0])
	m := &probe.Results{Outcomes: is}
	assert.Equal(t, []string{"y", "x"}, m.Findings()[0].Faults)
}

// What is written is read again, and of a file that broke off all that is whole.
func TestAJournalIsReadBack(t *testing.T) {
	t.Parallel()
	c := load(t, parking)
	o := few("lining-worn")
	head, err := probe.NewHead(c, o)
	require.NoError(t, err)
	head.Nominal, err = probe.NewNominal(c)
	require.NoError(t, err)
	m := run(t, c, o)
	var text bytes.Buffer
	write := json.NewEncoder(&text)
	require.NoError(t, write.Encode(head))
	for _, one := range m.Outcomes {
		require.NoError(t, write.Encode(one))
	}
	again, err := probe.Read(bytes.NewReader(text.Bytes()))
	require.NoError(t, err)
	assert.Equal(t, head.Nominal, again.Head.Nominal)
	older := again.Head
	older.Nominal = nil
	assert.True(t, head.Same(older), "a file from before it was kept")
	assert.Equal(t, m.Outcomes, again.Outcomes)
	assert.EqualValues(t, text.Len(), again.Bytes)
	assert.False(t, again.Complete, "nothing says that it was all")
	broken, err := probe.Read(bytes.NewReader(text.Bytes()[:text.Len()-7]))
	require.NoError(t, err)
	assert.Equal(t, m.Outcomes[:len(m.Outcomes)-1], broken.Outcomes)
	assert.Equal(t, byte('\n'), text.Bytes()[broken.Bytes-1], "up to there the file is whole")
	require.NoError(t, write.Encode(probe.Tail{Cells: len(m.Outcomes)}))
	ended, err := probe.Read(bytes.NewReader(text.Bytes()))
	require.NoError(t, err)
	assert.True(t, ended.Complete)
	assert.Equal(t, again.Bytes, ended.Bytes, "the last line is written anew when it is gone on with")
	other := *c
	other.Rig.Brake.StaticNM = 8
	changed, err := probe.NewHead(&other, o)
	require.NoError(t, err)
	assert.False(t, head.Same(changed), "a weaker brake is another rig")
}

func TestBrokenJournals(t *testing.T) {
	t.Parallel()
	head := `{"probe":"p","rig":"r","sequence":"s","seed":1,"documents":"d","faults":[],"states":[],"pairs":false}` + "\n"
	for name, c := range map[string]struct{ text, says string }{
		"empty":         {"", "line 1: no head"},
		"another file":  {"a,b,c\n", "line 1: no head"},
		"no head":       {`{"fault":"x"}` + "\n", "line 1: no head"},
		"no outcome":    {head + "what\n", "line 2: no outcome of a probe"},
		"a kind":        {head + `{"fault":"x","kind":"awful"}` + "\n", `line 2: fault "x" has the outcome "awful"`},
		"too short":     {head + `{"cells":1}` + "\n", "line 2: the last line counts 1 cells and there are 0"},
		"after it":      {head + `{"cells":0}` + "\n" + `{"fault":"x","kind":"fine"}` + "\n", "line 3: there are lines behind the last one of a probe"},
		"two on a line": {head + `{"fault":"x","kind":"fine"}{}` + "\n", "line 2: no outcome of a probe: there is more text behind it"},
		"unknown key":   {head + `{"fault":"x","kind":"fine","colour":1}` + "\n", "colour"},
	} {
		_, err := probe.Read(strings.NewReader(c.text))
		assert.ErrorContains(t, err, c.says, name)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("{}\n"))
	f.Add([]byte(`{"probe":"p","documents":"d"}` + "\n" + `{"fault":"x","kind":"fine"}` + "\n{"))
	f.Fuzz(func(t *testing.T, text []byte) {
		had, err := probe.Read(bytes.NewReader(text))
		require.LessOrEqual(t, had.Bytes, int64(len(text)))
		if err == nil {
			require.Positive(t, had.Bytes)
		}
		for _, o := range had.Outcomes {
			require.GreaterOrEqual(t, o.Kind.Rank(), 0)
		}
	})
}
