package probe_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/journal"
	"holdbench/sim/probe"
)

// keptFile is what a probe keeps: of a part the first cells may be there already.
func keptFile(t *testing.T, c *sim.Case, o probe.Options, part journal.Part, earlier []probe.Outcome) []byte {
	t.Helper()
	o.Part, o.Earlier = part, earlier
	head, err := probe.NewHead(c, o)
	require.NoError(t, err)
	var text bytes.Buffer
	add := func(v any) {
		line, err := journal.Line(v)
		require.NoError(t, err)
		text.Write(line)
	}
	add(head)
	for _, had := range earlier {
		add(had)
	}
	m, err := probe.Run(context.Background(), c, o, func(of probe.Outcome) error { add(of); return nil })
	require.NoError(t, err)
	add(m.Tail())
	return text.Bytes()
}

// merged merges files in the order given.
func merged(t *testing.T, files ...[]byte) (string, error) {
	t.Helper()
	var parts []*probe.Reader
	var names []string
	for i, text := range files {
		in, err := probe.NewReader(bytes.NewReader(text))
		require.NoError(t, err)
		parts, names = append(parts, in), append(names, fmt.Sprintf("file%d", i+1))
	}
	var whole bytes.Buffer
	_, err := probe.Merge(parts, names, func(line []byte) error { _, err := whole.Write(line); return err })
	return whole.String(), err
}

// The cells of a probe in parts are those of one probe, with the same file, whatever the number of parts and the
// order of their files; the whole can be shown without a run.
func TestPartsOfAProbeAreTheWhole(t *testing.T) {
	c := load(t, parking)
	for name, o := range map[string]probe.Options{
		"OneFault":  few("lining-worn", "drive-trips"),
		"TwoFaults": {Faults: []string{"lining-worn", "drive-trips"}, Pairs: true},
	} {
		t.Run(name, func(t *testing.T) {
			whole := keptFile(t, c, o, journal.Part{}, nil)
			had, err := probe.Read(bytes.NewReader(whole))
			require.NoError(t, err)
			const of = 3
			var files [][]byte
			for i := range of {
				files = append([][]byte{keptFile(t, c, o, journal.Part{Number: i + 1, Of: of}, nil)}, files...)
			}
			got, err := merged(t, files...)
			require.NoError(t, err)
			require.Equal(t, string(whole), got)
			once := run(t, c, o)
			again, err := probe.Restore(c, o, &had)
			require.NoError(t, err)
			require.Equal(t, once.Findings(), again.Findings())
			once.Outcomes, again.Outcomes = nil, nil
			require.Equal(t, once, again)
		})
	}
}

// A part that was ended after some of its cells goes on behind them.
func TestAPartOfAProbeGoesOn(t *testing.T) {
	c, o, part := load(t, parking), few("lining-worn", "link-down"), journal.Part{Number: 2, Of: 2}
	whole := keptFile(t, c, o, part, nil)
	had, err := probe.Read(bytes.NewReader(whole))
	require.NoError(t, err)
	require.Greater(t, len(had.Outcomes), 3)
	require.Equal(t, string(whole), string(keptFile(t, c, o, part, had.Outcomes[:2])))
	o.Part, o.Earlier = journal.Part{Number: 1, Of: 2}, had.Outcomes[:2]
	_, err = probe.Run(context.Background(), c, o, nil)
	require.ErrorContains(t, err, "the earlier probe has", "of another part")
}

// Parts that were not calculated alike are refused with the self-test of both machines, and are not continued.
func TestPartsOfAProbeFromMachinesThatDiffer(t *testing.T) {
	c, o := load(t, parking), few("lining-worn", "link-down")
	o.Part = journal.Part{Number: 2, Of: 2}
	here, err := probe.NewHead(c, o)
	require.NoError(t, err)
	require.Equal(t, plant.SelfTest(), here.SelfTest)
	one := here
	one.Part, one.SelfTest = 1, "0123456789abcdef"
	file := func(h probe.Head) []byte {
		line, err := journal.Line(h)
		require.NoError(t, err)
		return line
	}
	_, err = merged(t, file(one), file(here))
	require.EqualError(t, err, "file1 and file2 were made by machines or versions of holdbench that calculate differently: the self-test is 0123456789abcdef in one and "+
		here.SelfTest+" in the other; must be run again by one version")
	one.SelfTest = "" // of a version that had no self-test
	_, err = merged(t, file(here), file(one))
	require.ErrorContains(t, err, "is "+here.SelfTest+" in one and none in the other")
	one.Part = here.Part
	require.False(t, one.Same(here))
	require.Equal(t, "the self-test is none there and "+here.SelfTest+" here", probe.Differences(one, here))
}

func TestPartsOfAProbeThatAreRefused(t *testing.T) {
	c, o := load(t, parking), few("lining-worn", "link-down")
	one, two := keptFile(t, c, o, journal.Part{Number: 1, Of: 2}, nil), keptFile(t, c, o, journal.Part{Number: 2, Of: 2}, nil)
	other := keptFile(t, c, few("lining-worn", "drive-trips"), journal.Part{Number: 2, Of: 2}, nil)
	third := keptFile(t, c, o, journal.Part{Number: 2, Of: 3}, nil)
	lines := func(text []byte, from, to int) []byte {
		list := bytes.SplitAfter(text, []byte("\n"))
		list = list[:len(list)-1]
		if to <= 0 {
			to += len(list)
		}
		return bytes.Join(list[from:to], nil)
	}
	longer := append(bytes.Clone(one), lines(one, 1, 2)...)
	for name, bad := range map[string]struct {
		files [][]byte
		want  string
	}{
		"Missing":    {[][]byte{one}, "part 2 of 2 is missing; must be all parts"},
		"Twice":      {[][]byte{one, two, one}, "file1 and file3 are both part 1 of 2; must be each part once"},
		"OtherCount": {[][]byte{one, third}, "file1 is part 1 of 2 and file2 is part 2 of 3; must be parts of one whole"},
		"Other":      {[][]byte{one, other}, "file1 and file2 are not of one probe: --fault is lining-worn, link-down there"},
		"Unfinished": {[][]byte{one, lines(two, 0, -2)}, "file2 ends after "},
		"NoTail":     {[][]byte{lines(one, 0, -1), two}, "file1 ends after "},
		"Longer":     {[][]byte{longer, two}, "there are lines behind the last one of a probe"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := merged(t, bad.files...)
			require.ErrorContains(t, err, bad.want)
		})
	}
	_, err := probe.NewReader(io.MultiReader())
	require.ErrorContains(t, err, "no head of a probe")
}
