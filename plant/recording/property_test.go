package recording

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"
	"pgregory.net/rapid"
)

// form is a way of writing a recording.
type form struct {
	separator, decimal, lineEnd, encoding string
	preamble                              int
	quotes, units                         bool
}

func drawForm(t *rapid.T) form {
	f := form{
		separator: rapid.SampledFrom([]string{",", ";", "\t", "|", " "}).Draw(t, "separator"),
		decimal:   rapid.SampledFrom([]string{".", ","}).Draw(t, "decimal"),
		lineEnd:   rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end"),
		encoding:  rapid.SampledFrom([]string{"", "mark", "utf-16le", "utf-16be", "latin-1"}).Draw(t, "encoding"),
		preamble:  rapid.IntRange(0, 12).Draw(t, "preamble"),
		quotes:    rapid.Bool().Draw(t, "quotes"),
		units:     rapid.Bool().Draw(t, "units in a row"),
	}
	if f.separator == "," && f.decimal == "," {
		f.quotes = true
	}
	return f
}

// write writes times and values; NaN is a blank, which is no cell where spaces separate.
func (f form) write(times []float64, columns [][]float64) []byte {
	var b strings.Builder
	line := func(cells ...string) {
		for i, c := range cells {
			if f.quotes {
				c = `"` + c + `"`
			}
			if i > 0 {
				b.WriteString(f.separator)
			}
			b.WriteString(c)
		}
		b.WriteString(f.lineEnd)
	}
	for i := range f.preamble {
		line(fmt.Sprintf("remark_%d_of_the_recorder_µ", i))
	}
	if f.units {
		line("time", "position", "torque")
		line("s", "µm", "N·m")
	} else {
		line("t_s", "position[µm]", "torque_nm")
	}
	text := func(x float64) string {
		if math.IsNaN(x) && f.separator == " " && !f.quotes {
			return "NaN"
		}
		if math.IsNaN(x) {
			return ""
		}
		return strings.Replace(strconv.FormatFloat(x, 'f', -1, 64), ".", f.decimal, 1)
	}
	for i, x := range times {
		line(text(x), text(columns[0][i]*1000), text(columns[1][i]))
	}
	return f.encode(b.String())
}

func (f form) encode(text string) []byte {
	switch f.encoding {
	case "mark":
		return []byte("\ufeff" + text)
	case "utf-16le":
		out, _ := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String(text)
		return []byte(out)
	case "utf-16be":
		out, _ := unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewEncoder().String(text)
		return []byte(out)
	case "latin-1":
		var out []byte
		for _, r := range text {
			out = append(out, byte(r))
		}
		return out
	}
	return []byte(text)
}

// Whatever form a recorder writes in, the same values come back. The third line of values has every cell with
// a fraction: from whole numbers alone nobody can tell the decimal sign.
func TestRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawForm(t)
		n := rapid.IntRange(3, 30).Draw(t, "lines")
		times, columns := make([]float64, n), [][]float64{make([]float64, n), make([]float64, n)}
		value := rapid.Map(rapid.IntRange(-4000, 4000), func(i int) float64 { return float64(i) / 16 })
		for i := range n {
			times[i] = float64(i) / 8
			for c := range columns {
				columns[c][i] = value.Draw(t, "value")
				if rapid.IntRange(0, 4).Draw(t, "gap") == 0 {
					columns[c][i] = math.NaN()
				}
			}
		}
		times[1], columns[0][1], columns[1][1] = 0.125, 1.0625/1000, -2.5
		r, err := Read("a.csv", bytes.NewReader(f.write(times, columns)), Options{})
		require.NoError(t, err)
		require.Equal(t, times, r.Time)
		for c, signal := range []string{"position_mm", "torque_nm"} {
			got := r.Values(signal)
			if got == nil {
				got = make([]float64, n)
				for i := range got {
					got[i] = math.NaN()
				}
			}
			require.InDeltaSlice(t, gapped(columns[c]), gapped(got), 1e-9)
		}
	})
}

// Whatever a file is, it is read or refused: times rise, and every channel has a value or a gap at each.
func FuzzRead(f *testing.F) {
	f.Add([]byte("t_s,position_mm\n0,1\n1,2\n"))
	f.Add([]byte("\xff\xfet\x00_\x00s\x00"))
	f.Add([]byte("# a\ntime;position [mm]\n12:00:00,5;1,5\n12:00:01;\n"))
	f.Add([]byte("t_s,torque_nm,drive,state\n0,\"1\"\"\",hold,a\n1,nan,1,b\n"))
	f.Add([]byte("\n\n0 1  2\n1 2 3\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		for _, o := range []Options{{}, {Columns: []Column{{Signal: "t_s", Column: "#1"}, {Signal: "torque_nm", Column: "#2", Scale: -2}}, Late: []Late{{"torque", 0.25}}, Every: 2}} {
			r, err := Read("a.csv", bytes.NewReader(text), o)
			if err != nil {
				continue
			}
			for i := 1; i < len(r.Time); i++ {
				require.Less(t, r.Time[i-1], r.Time[i])
			}
			require.NotEmpty(t, r.Channels)
			for _, c := range r.Channels {
				require.Len(t, c.Values, len(r.Time))
			}
		}
	})
}

// million is a file of a million lines, made while it is read.
type million struct {
	line int
	rest []byte
}

func (m *million) Read(p []byte) (int, error) {
	if len(m.rest) == 0 {
		if m.line > 1_000_000 {
			return 0, io.EOF
		}
		m.rest = []byte("t_s;position_mm;speed;torque_nm;current_rms_a;brake_closed;drive\n")
		if m.line > 0 {
			m.rest = fmt.Appendf(nil, "%d,%03d;%d,5;1,25;-2,75;3,125;1;hold\n", m.line/1000, m.line%1000, m.line%777)
		}
		m.line++
	}
	n := copy(p, m.rest)
	m.rest = m.rest[n:]
	return n, nil
}

// Of a long file each value is written twice, into a block and into its list, and nothing else grows with the file:
// neither texts of cells nor lists that are copied as they grow. It does not run beside other tests, whose memory would count.
func TestLongFilesAreKeptOnce(t *testing.T) { //nolint:paralleltest // it counts what is allocated
	const lines = 200_000
	var text strings.Builder
	from := bufio.NewReader(&million{})
	for range lines {
		line, err := from.ReadString('\n')
		require.NoError(t, err)
		text.WriteString(line)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	r, err := Read("a.csv", strings.NewReader(text.String()), Options{})
	require.NoError(t, err)
	runtime.ReadMemStats(&after)
	kept := 8 * len(r.Time) * (1 + len(r.Channels))
	blocks := 8 * mostBlock * (1 + len(r.Channels)) // the last one of each is not full; beside them the heading and buffers
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(2*kept+blocks+2*longestLine), "of %d bytes of values", kept)

	runtime.ReadMemStats(&before)
	list := Doubts(r, Limits{LowMM: 0, HighMM: 800, MMPerRad: 2, TorqueConstant: 0.8, PeakCurrentRMSA: 12, HoldLowNM: 3, HoldHighNM: 3, BrakeNMPerRad: 100})
	runtime.ReadMemStats(&after)
	assert.NotEmpty(t, list, "position and speed have nothing in common")
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(kept), "of %d bytes of values", kept)
}

// BenchmarkMillionLines reads a million lines of seven columns, and tells what the heap holds at the end: 56 MB
// are the values. The time has the writing of the lines in it.
func BenchmarkMillionLines(b *testing.B) {
	b.ReportAllocs()
	for range b.N {
		r, err := Read("a.csv", &million{}, Options{})
		require.NoError(b, err)
		require.Len(b, r.Time, 1_000_000)
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		b.ReportMetric(float64(m.HeapSys)/(1<<20), "MB-heap")
		runtime.KeepAlive(r)
	}
}
