package runcmd

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// tracedRun is a run with an alarm, words that change and a brake that moves.
func tracedRun() []string { return []string{"run", "lining-worn-thin", "--trace"} }

// traceTo writes the trace of the run to a file and gives it back.
func traceTo(t *testing.T, name string) (path string, text []byte) {
	t.Helper()
	path = filepath.Join(t.TempDir(), name)
	got := invoke(t.Context(), append(tracedRun(), path)...)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return path, text
}

func traceRows(t *testing.T) (names []string, rows [][]string) {
	t.Helper()
	_, text := traceTo(t, "a.csv")
	all, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	return all[0], all[1:]
}

// dump is a value change dump that was read: of each variable the moments of its values, by its
// name with its scope.
type dump struct {
	unit  time.Duration
	kinds map[string]string
	words map[string][]string
	of    map[string][]change
	end   time.Duration
}

type change struct {
	at    time.Duration
	value string
}

// readDump reads a value change dump, IEEE 1364-2005, clause 18. A change of nothing is an error
// where only changes may be written.
func readDump(t *testing.T, text string, onlyChanges bool) *dump {
	t.Helper()
	d := &dump{kinds: map[string]string{}, words: map[string][]string{}, of: map[string][]change{}}
	var scopes []string
	names := map[string]string{} // by code
	at, tokens := time.Duration(0), strings.Fields(text)
	take := func() []string { // what stands between a keyword and its end
		for i, word := range tokens {
			if word == "$end" {
				inside := tokens[1:i]
				tokens = tokens[i+1:]
				return inside
			}
		}
		t.Fatalf("%s has no end", tokens[0])
		return nil
	}
	set := func(code, value string) {
		name, ok := names[code]
		require.True(t, ok, "a value of a code that no variable has: %q", code)
		list := d.of[name]
		if n := len(list); n > 0 && onlyChanges {
			require.NotEqual(t, list[n-1].value, value, "%s at %s is no change", name, at)
		}
		d.of[name] = append(list, change{at, value})
	}
	for len(tokens) > 0 {
		switch word := tokens[0]; {
		case word == "$timescale":
			scale, err := time.ParseDuration(strings.Join(take(), ""))
			require.NoError(t, err)
			d.unit = scale
		case word == "$scope":
			scopes = append(scopes, take()[1])
		case word == "$upscope":
			take()
			scopes = scopes[:len(scopes)-1]
		case word == "$var":
			v := take()
			require.Regexp(t, `^[a-zA-Z_][a-zA-Z0-9_]*$`, v[3])
			name := strings.Join(append(scopes, v[3]), ".")
			require.NotContains(t, d.kinds, name)
			names[v[2]], d.kinds[name] = name, v[0]+" "+v[1]
		case word == "$comment":
			d.readWords(strings.Join(take(), " "))
		case word == "$dumpvars", word == "$end":
			tokens = tokens[1:]
		case word[0] == '$':
			take()
		case word[0] == '#':
			n, err := strconv.ParseInt(word[1:], 10, 64)
			require.NoError(t, err)
			require.True(t, len(d.of) == 0 || time.Duration(n)*d.unit > at, "time goes on")
			at, tokens = time.Duration(n)*d.unit, tokens[1:]
		case word[0] == 'r' || word[0] == 'b':
			set(tokens[1], word[1:])
			tokens = tokens[2:]
		default:
			set(word[1:], word[:1])
			tokens = tokens[1:]
		}
	}
	require.Empty(t, scopes)
	d.end = at
	return d
}

// readWords takes the words of a variable out of a comment such as: state: 0 "ready", 1 "passed".
func (d *dump) readWords(text string) {
	name, rest, _ := strings.Cut(text, ": ")
	for _, found := range regexp.MustCompile(`[0-9]+ "(?:[^"\\]|\\.)*"`).FindAllString(rest, -1) {
		number, quoted, _ := strings.Cut(found, " ")
		word, err := strconv.Unquote(quoted)
		if n, _ := strconv.Atoi(number); err == nil && n == len(d.words[name]) {
			d.words[name] = append(d.words[name], word)
		}
	}
}

// at is the newest value of a variable at a moment.
func (d *dump) at(name string, moment time.Duration) string {
	value := ""
	for _, c := range d.of[name] {
		if c.at > moment {
			break
		}
		value = c.value
	}
	return value
}

// A dump says of each variable at each scan what the table says, in its group.
func TestDumpSaysWhatTheTableSays(t *testing.T) {
	_, text := traceTo(t, "a.vcd")
	assert.NotContains(t, string(text), "$date", "the same run gives the same bytes")
	d := readDump(t, string(text), true)
	names, rows := traceRows(t)
	assert.Equal(t, 10*time.Microsecond, d.unit, "divides scan and tick")
	assert.Equal(t, "real 64", d.kinds["bench.inputs.position_mm"])
	assert.Equal(t, "real 64", d.kinds["bench.truth.load_mm"])
	assert.Equal(t, "wire 1", d.kinds["bench.inputs.proof"])
	assert.Equal(t, "integer 32", d.kinds["bench.outputs.drive"])
	assert.Equal(t, "integer 32", d.kinds["bench.state"])
	scopes := map[string]string{}
	for name := range d.kinds {
		scopes[name[strings.LastIndex(name, ".")+1:]] = name
	}
	alarms := 0
	for column := 1; column < len(names); column++ {
		name, ok := scopes[names[column]]
		if !ok {
			assert.Regexp(t, `_2_|_2$`, names[column], "left out is what has no value")
			assert.Empty(t, rows[0][column])
			continue
		}
		for n := 0; n < len(rows); n += 7 { // some hundred moments of each
			row := rows[n]
			ts, err := strconv.ParseFloat(row[0], 64)
			require.NoError(t, err)
			found := d.at(name, time.Duration(math.Round(ts*1e9)))
			switch d.kinds[name] {
			case "wire 1":
				found = map[string]string{"0": "false", "1": "true"}[found]
			case "integer 32":
				place, err := strconv.ParseInt(found, 2, 32)
				require.NoError(t, err)
				found = d.words[names[column]][place]
			}
			require.Equal(t, row[column], found, "%s at %s s", name, row[0])
			if names[column] == "alarm" && found != "" {
				alarms++
			}
		}
	}
	assert.Positive(t, alarms, "free text is compared too")
	last, err := strconv.ParseFloat(rows[len(rows)-1][0], 64)
	require.NoError(t, err)
	assert.Equal(t, time.Duration(math.Round(last*1e9)), d.end)
}

// A converter of another origin reads the dump, and what it writes says the same. It writes 16 figures
// of a real.
func TestDumpThroughAnotherConverter(t *testing.T) {
	if _, err := exec.LookPath("vcd2fst"); err != nil {
		t.Skip("vcd2fst of Debian's gtkwave is not there")
	}
	path, text := traceTo(t, "a.vcd")
	converted := path + ".fst"
	out, err := exec.CommandContext(t.Context(), "vcd2fst", path, converted).CombinedOutput()
	require.NoError(t, err, string(out))
	back, err := exec.CommandContext(t.Context(), "fst2vcd", converted).Output()
	require.NoError(t, err)
	ours, theirs := readDump(t, string(text), true), readDump(t, string(back), false)
	require.Equal(t, ours.kinds, theirs.kinds)
	assert.Equal(t, ours.unit, theirs.unit)
	assert.Equal(t, ours.end, theirs.end)
	for name, changes := range ours.of {
		for _, c := range changes {
			other := theirs.at(name, c.at)
			switch ours.kinds[name] {
			case "real 64":
				a, errA := strconv.ParseFloat(c.value, 64)
				b, errB := strconv.ParseFloat(other, 64)
				require.NoError(t, errA)
				require.NoError(t, errB)
				require.InDelta(t, a, b, 1e-15*math.Abs(a), "%s at %s", name, c.at)
			case "integer 32":
				require.Equal(t, c.value, cmpZeros(other), "%s at %s", name, c.at)
			default:
				require.Equal(t, c.value, other, "%s at %s", name, c.at)
			}
		}
	}
}

// cmpZeros takes the leading zeros off a vector.
func cmpZeros(bits string) string {
	if short := strings.TrimLeft(bits, "0"); short != "" {
		return short
	}
	return "0"
}

// A table in columns has the rows and the values of the one in lines.
func TestParquetSaysWhatTheTableSays(t *testing.T) {
	_, text := traceTo(t, "a.parquet")
	file, err := parquet.OpenFile(bytes.NewReader(text), int64(len(text)))
	require.NoError(t, err)
	names, rows := traceRows(t)
	require.EqualValues(t, len(rows), file.NumRows())
	var columns []string
	for _, f := range file.Schema().Fields() {
		columns = append(columns, f.Name())
	}
	require.Equal(t, names, columns)
	reader := parquet.NewReader(file)
	defer func() { require.NoError(t, reader.Close()) }()
	read := make([]parquet.Row, 1)
	for n, row := range rows {
		_, err := reader.ReadRows(read)
		if n%50 != 0 {
			continue
		}
		require.NoError(t, err)
		for i, want := range row {
			found := read[0][i]
			switch {
			case found.IsNull():
				require.Empty(t, want, names[i])
			case found.Kind() == parquet.Double:
				require.Equal(t, want, strconv.FormatFloat(found.Double(), 'g', -1, 64), names[i])
			default:
				require.Equal(t, want, found.String(), names[i])
			}
		}
	}
}
