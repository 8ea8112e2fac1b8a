package journal_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim/journal"
)

type cell struct {
	Name string  `json:"name"`
	X    float64 `json:"x"`
}

// written are lines of a file.
func written(t require.TestingT, values ...any) []byte {
	var text []byte
	for _, v := range values {
		line, err := journal.Line(v)
		require.NoError(t, err)
		text = append(text, line...)
	}
	return text
}

// readAll reads all complete lines.
func readAll(text io.Reader) (lines []string, at *journal.Reader, err error) {
	at = journal.NewReader(text)
	for {
		line, err := at.Next()
		if errors.Is(err, io.EOF) {
			return lines, at, nil
		}
		if err != nil {
			return lines, at, err
		}
		lines = append(lines, string(line))
	}
}

// The check value of CRC-32C is that of RFC 3720, appendix B.4: 32 bytes of zeros give 8a9136aa.
func TestTheChecksumIsTheOneOfTheStandard(t *testing.T) {
	line, err := journal.Line(cell{"a>b", 1})
	require.NoError(t, err)
	require.Regexp(t, `^\{"name":"a>b","x":1,"crc":"[0-9a-f]{8}"\}\n$`, string(line))
	zeros := strings.Repeat("\x00", 32)
	lines, _, err := readAll(strings.NewReader(zeros + `,"crc":"8a9136aa"}` + "\n"))
	require.NoError(t, err)
	require.Equal(t, []string{zeros + "}\n"}, lines)
}

func TestLinesOfAJournal(t *testing.T) {
	whole := written(t, cell{"one", 1}, cell{"two", 2}, cell{"three", 3})
	ends := []int{}
	for i, b := range whole {
		if b == '\n' {
			ends = append(ends, i+1)
		}
	}
	text := `{"name":"one","x":1}` + "\n"
	for name, c := range map[string]struct {
		file  string
		lines int
		want  string // the error
	}{
		"Whole":       {string(whole), 3, ""},
		"Empty":       {"", 0, ""},
		"BrokenOff":   {string(whole[:ends[1]+9]), 2, ""},
		"OneDigit":    {strings.Replace(string(whole), `"two","x":2`, `"two","x":7`, 1), 1, "line 2: its checksum is "},
		"WithoutIt":   {string(whole[:ends[0]]) + text, 1, "line 2: it has no checksum, as the first line has; must be the file as it was written"},
		"OlderFile":   {text + text, 2, ""},
		"ContinuedIt": {text + string(whole[:ends[0]]), 2, ""},
		"NoObject":    {"\n", 1, ""},
	} {
		t.Run(name, func(t *testing.T) {
			lines, at, err := readAll(strings.NewReader(c.file))
			if c.want == "" {
				require.NoError(t, err)
			} else {
				require.ErrorContains(t, err, c.want)
			}
			require.Len(t, lines, c.lines)
			if c.want == "" && c.lines > 0 {
				require.Equal(t, int64(strings.LastIndex(c.file, "\n")+1), at.Bytes())
			}
		})
	}
	_, err := journal.Line(struct{}{})
	require.EqualError(t, err, `a line of a journal is "{}\n"; must be an object with a key`)
}

// endless is a file without an end and without a line.
type endless struct{ read int64 }

func (e *endless) Read(p []byte) (int, error) {
	e.read += int64(len(p))
	return len(p), nil
}

// A file without lines, such as one with a hole of a terabyte, is given up after one line of the largest size.
func TestAnEndlessLineIsRefused(t *testing.T) {
	source := &endless{}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := journal.NewReader(source).Next()
	require.EqualError(t, err, fmt.Sprintf("line 1: it has more than %d bytes; must be a file that holdbench has written", journal.MostBytes))
	require.Less(t, source.read, int64(journal.MostBytes+1<<20))
	runtime.ReadMemStats(&after)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(8*journal.MostBytes))
}

// Whatever is changed behind the first line of a file, no line is read that was not written.
func TestAChangedLineIsNoticed(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 4).Draw(rt, "lines")
		values := make([]any, n)
		for i := range values {
			values[i] = cell{rapid.StringN(0, 8, -1).Draw(rt, "name"), rapid.Float64Range(-1e9, 1e9).Draw(rt, "x")}
		}
		whole := written(rt, values...)
		want, _, err := readAll(bytes.NewReader(whole))
		require.NoError(rt, err)
		require.Len(rt, want, n)
		at := rapid.IntRange(bytes.IndexByte(whole, '\n')+1, len(whole)-1).Draw(rt, "at")
		whole[at] ^= byte(1 << rapid.IntRange(0, 7).Draw(rt, "bit"))
		got, _, err := readAll(bytes.NewReader(whole))
		require.LessOrEqual(rt, len(got), n)
		require.Equal(rt, want[:len(got)], got)
		if err == nil {
			require.Less(rt, len(got), n, "only a line without its end is passed over")
		}
	})
}
