package sweep

import (
	"encoding/json"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// read reads all that is whole.
func read(text string) (*Reader, []Record, error) {
	r, err := NewReader(strings.NewReader(text))
	if err != nil {
		return r, nil, err
	}
	var list []Record
	for {
		rec, more, err := r.Next()
		if err != nil || !more {
			return r, list, err
		}
		list = append(list, rec)
	}
}

// A file that broke off anywhere gives what is whole in it, and where to go on.
func TestReadCompleteLines(t *testing.T) {
	text := written(t, plan(t, load(t, demo, nil), 4, some()...), 2)
	lines := strings.SplitAfter(text, "\n")
	require.Len(t, lines, 7) // head, four runs, tail, and nothing
	for cut := len(lines[0]); cut <= len(text); cut++ {
		r, list, err := read(text[:cut])
		require.NoError(t, err, "cut at %d", cut)
		whole := strings.Count(text[:cut], "\n") - 1
		require.Equal(t, whole == 5, r.Complete)
		require.Len(t, list, min(whole, 4))
		require.Equal(t, int64(len(strings.Join(lines[:1+min(whole, 4)], ""))), r.Bytes)
	}
}

func TestReadErrors(t *testing.T) {
	text := written(t, plan(t, load(t, demo, nil), 3, some()...), 2)
	lines := strings.SplitAfter(text, "\n")
	no := "line 1: no head of a sweep; must be a file that holdbench sweep has written"
	for name, c := range map[string]struct{ text, want string }{
		"Empty":     {"", no},
		"NoHead":    {lines[1] + lines[2], no},
		"Probe":     {`{"probe":"x"}` + "\n", no},
		"Parts":     {strings.Replace(text, `"part":1,`, `"part":9,`, 1), no},
		"ManyParts": {strings.Replace(text, `"parts":1`, `"parts":1000000000000`, 1), no},
		"Missing":   {lines[0] + lines[2], "line 2: run 1 in place of run 0 of 3; must be the file as it was written"},
		"Twice":     {lines[0] + lines[1] + lines[1], "line 3: run 0 in place of run 1 of 3; must be the file as it was written"},
		"Behind":    {text + lines[1], "line 6: there are lines behind the last one of a sweep"},
		"Tail":      {lines[0] + lines[1] + lines[4], "line 3: the last line counts 3 runs and there are 1; must be the file as it was written"},
		"Class":     {lines[0] + strings.Replace(lines[1], `"class":"`, `"class":"no`, 1), `must be one of [missed caught refused false-alarm sound-pass]`},
		"Refused":   {lines[0] + regexp.MustCompile(`"refused_for":"[a-z]*"`).ReplaceAllString(lines[1], `"refused_for":"x"`), `and is refused for "x"; must be brake or other without a proof, and empty with one`},
		"Older":     {lines[0] + regexp.MustCompile(`"verdict":"[a-z]*","cause":"[a-z-]*","refused_for":"[a-z]*"`).ReplaceAllString(lines[1], `"verdict":"failed","cause":"moved"`), "files of an earlier holdbench do not have it"},
		"Values":    {lines[0] + strings.Replace(lines[1], `"upper":[`, `"upper":[true,`, 1), "has cell 0, 6 values and 5 halves; its head has 1 cells, 6 columns and 4 spreads"},
		"Negative":  {lines[0] + strings.Replace(lines[1], `"weight":1`, `"weight":-1`, 1), "line 2: run 0 has weight -1"},
		"Garbage":   {lines[0] + "{\n", "line 2: no run of a sweep: unexpected EOF"},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := read(c.text)
			require.ErrorContains(t, err, c.want)
		})
	}
}

func TestMergeErrors(t *testing.T) {
	p := plan(t, load(t, demo, nil), 6, some()...)
	part := func(i, of int, seed uint64) string {
		one := *p
		one.Part, one.Parts, one.Seed = i, of, seed
		return written(t, &one, 2)
	}
	one, two := part(1, 2, 1), part(2, 2, 1)
	short := strings.Join(strings.SplitAfter(two, "\n")[:3], "")
	for name, c := range map[string]struct {
		parts []string
		want  string
	}{
		"Missing":  {[]string{one}, "part 2 of 2 is missing; must be all parts"},
		"Twice":    {[]string{one, one}, "A and B are both part 1 of 2; must be each part once"},
		"Seed":     {[]string{one, part(2, 2, 5)}, "A and B are not of one sweep: the seed is 1 in one and 5 in the other; the part is 1 of 2 in one and 2 of 2 in the other"},
		"Division": {[]string{one, part(2, 3, 1)}, "A and B are not of one sweep: the part is 1 of 2 in one and 2 of 3 in the other"},
		"Short":    {[]string{one, short}, "B ends after 2 of 3 runs; must be finished first: the same command continues it"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := mergeTexts(t, c.parts, []string{"A", "B"})
			require.EqualError(t, err, c.want)
		})
	}
}

// Whatever stands in a file, reading it ends with runs or with an error that names the line,
// and the sums of what was read can be had.
func FuzzReader(f *testing.F) {
	head, err := plan(f, load(f, demo, nil), 3, some()...).Head()
	require.NoError(f, err)
	line, err := json.Marshal(head)
	require.NoError(f, err)
	f.Add(string(line) + "\n" + `{"run":0,"cell":0,"seed":1,"values":["1","1","1","1","1","1"],"upper":[true,true,true,true],"weight":1,"class":"missed","verdict":"proven","capacity_nm":1e9,"required_nm":1e-300}` + "\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := NewReader(strings.NewReader(text))
		if err != nil {
			require.Regexp(t, `^line \d+: `, err.Error())
			return
		}
		tally := r.Head.Tally()
		for {
			rec, more, err := r.Next()
			if err != nil {
				require.Regexp(t, `^line \d+: `, err.Error())
				break
			}
			if !more {
				break
			}
			tally.Add(&rec)
		}
		summary := tally.Summary(&r.Head)
		require.NoError(t, json.NewEncoder(io.Discard).Encode(summary))
	})
}
