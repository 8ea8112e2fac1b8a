package recording

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"
)

func options(t *testing.T, columns, units string) Options {
	t.Helper()
	c, err := ParseColumns(columns)
	require.NoError(t, err)
	u, err := ParseUnits(units)
	require.NoError(t, err)
	return Options{Columns: c, Units: u}
}

// gap is a value that was not recorded, for comparisons.
const gap = -999

func gapped(values []float64) []float64 {
	var list []float64
	for _, x := range values {
		if math.IsNaN(x) {
			x = gap
		}
		list = append(list, x)
	}
	return list
}

func utf16(t *testing.T, e unicode.Endianness, mark unicode.BOMPolicy, text string) string {
	t.Helper()
	s, err := unicode.UTF16(e, mark).NewEncoder().String(text)
	require.NoError(t, err)
	return s
}

// Files as recorders write them: one meaning in many forms.
func TestLayouts(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, text      string
		columns, units  string
		position, torqe []float64
	}{
		{name: "Trace", text: "t_s,position_mm,torque_nm\n0,1.5,-2\n0.001,2.5,-3\n"},
		{name: "MarkAndCRLF", text: "\ufefft_s,position_mm,torque_nm\r\n0,1.5,-2\r\n0.001,2.5,-3\r\n"},
		{name: "UTF16LE", text: utf16(t, unicode.LittleEndian, unicode.UseBOM, "t_s;position [µm];torque_nm\n0;1500;-2\n0.001;2500;-3\n")},
		{name: "UTF16BEWithoutMark", text: utf16(t, unicode.BigEndian, unicode.IgnoreBOM, "t_s;position_mm;torque_nm\r\n0;1.5;-2\r\n0.001;2.5;-3\r\n")},
		{name: "Latin1", text: "t_s;position [\xb5m];torque [N\xb7m]\n0;1500;-2\n0.001;2500;-3\n"},
		{name: "DecimalComma", text: "time [ms];position [m];torque [mNm]\n0,0;0,0015;-2000\n1,0;0,0025;-3000\n"},
		{name: "QuotedComma", text: "\"t_s\",\"position_mm\",\"torque_nm\"\n\"0,0\",\"1,5\",\"-2\"\n\"0,001\",\"2,5\",\"-3\"\n"},
		{name: "Tabs", text: "t_us\tposition_um\ttorque_nm\n0\t1500\t-2\n1000\t2500\t-3\n"},
		{name: "Spaces", text: "  t_s  position_mm   torque_nm\n  0.000  1.5  -2.0\n  0.001  2.5  -3.0\n"},
		{name: "Bars", text: "t_s|position_mm|torque_nm\n0|1.5|-2\n0.001|2.5|-3\n"},
		{name: "Comments", text: "# made up\n# t_s position_mm torque_nm\n0 1.5 -2\n# a mark\n0.001 2.5 -3\n"},
		{name: "Preamble", text: "Recorder;made up\nSamples;2\nInterval;0,001\nDate;31.05.2024 12:00:00\n\ntime;pos;trq;spare\ns;mm;Nm;-\n0;1,5;-2;\n0,001;2,5;-3;\n", columns: "position=pos,torque=trq"},
		{name: "NumbersOfColumns", text: "0;1.5;2\n1;2.5;3\n", columns: "time=#1,position=#2,torque=-#3", units: "time=ms,position=mm,torque=Nm"},
		{name: "Scaled", text: "t_s,trq,a-b\n0,20,1\n0.001,30,2\n", columns: `torque_nm=-trq*0.1,position_mm="a-b"+0.5`},
		{name: "Percent", text: "t_s,position_mm,trq [%]\n0,1.5,-20\n0.001,2.5,-30\n", columns: "torque_nm=trq*0.1"},
		{name: "Stamps", text: "time;position_mm;torque_nm\n2024-05-31 23:59:59.9995;1.5;-2\n2024-06-01T00:00:00.0005;2.5;-3\n"},
		{name: "StampsWithComma", text: "time;position_mm;torque_nm\n31.05.2024 12:00:00,250;1,5;-2\n31.05.2024 12:00:00,251;2,5;-3\n"},
		{name: "TimesOfDay", text: "time;position_mm;torque_nm\n12:00:00.250;1.5;-2\n12:00:00.251;2.5;-3\n"},
		{name: "TwoLinesOfOneTime", text: "t_s,position_mm,torque_nm\n0,1.5,\n0,,-2\n0.001,,-3\n0.001,2.5,\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r, err := Read("a.csv", strings.NewReader(c.text), options(t, c.columns, c.units))
			require.NoError(t, err)
			assert.InDeltaSlice(t, []float64{0, 0.001}, r.Time, 1e-9)
			assert.InDeltaSlice(t, []float64{1.5, 2.5}, r.Values("position_mm"), 1e-12)
			assert.InDeltaSlice(t, []float64{-2, -3}, r.Values("torque_nm"), 1e-12)
			assert.Len(t, r.Channels, 2)
			assert.Len(t, r.SHA256, 64)
		})
	}
}

// A slow channel has gaps, words are places in their lists, and the unit says which of two signals a column is.
func TestChannels(t *testing.T) {
	t.Parallel()
	r, err := Read("a.csv", strings.NewReader("t_ms,position [turns],speed [rpm],brake_closed,Brake,drive,state,current,ask,load_nm\n"+
		"0,0.5,60,true,CLOSED,press,clamp,1,0,7\n1,,,0,1,3,,2,1,7\n2,nan,-30,1,open,off,open_brake,3,none,7\n"), options(t, "current_rms_a=current", ""))
	require.NoError(t, err)
	assert.Equal(t, []float64{180, gap, gap}, gapped(r.Values("position_deg")))
	assert.InDeltaSlice(t, []float64{2 * math.Pi, gap, -math.Pi}, gapped(r.Values("speed_rad_s")), 1e-12)
	assert.Equal(t, []float64{1, 0, 1}, r.Values("brake_closed"))
	assert.Equal(t, []float64{1, 1, 0}, r.Values("brake"))
	assert.Equal(t, []float64{3, 3, 0}, r.Values("drive"))
	assert.Equal(t, []float64{0, gap, 1}, gapped(r.Values("state")))
	assert.Equal(t, []string{"clamp", "open_brake"}, r.Channel("state").Words)
	assert.Equal(t, []float64{0, 1, 0}, r.Values("ask"))
	assert.Equal(t, []float64{1, 2, 3}, r.Values("current_rms_a"))
	assert.Nil(t, r.Values("position_mm"))
	assert.Equal(t, Layout{Encoding: "utf-8", Separator: ',', Decimal: '.', Heading: 1, LeftOut: []string{"load_nm"}}, r.Layout)
}

// A part in time, every so many lines, and a late signal: values stay what they are, at their own times.
func TestParts(t *testing.T) {
	t.Parallel()
	const text = "t_s,position_mm,torque_nm,note\n0,1,10,x\n1,2,20,x\n2,3,30,x\n3,4,40,x\n4,5,50,x\n"
	whole, err := Read("a.csv", strings.NewReader(text), Options{})
	require.NoError(t, err)
	part, err := Read("a.csv", strings.NewReader(text), Options{Span: &Span{1, 3}})
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 2, 3}, part.Time)
	assert.Equal(t, []float64{20, 30, 40}, part.Values("torque_nm"))
	assert.Equal(t, whole.SHA256, part.SHA256)
	assert.Equal(t, []string{"note"}, part.Layout.LeftOut)
	some, err := Read("a.csv", strings.NewReader(text), Options{Every: 2})
	require.NoError(t, err)
	assert.Equal(t, []float64{0, 2, 4}, some.Time)

	late, err := Read("a.csv", strings.NewReader(text), Options{Late: []Late{{"torque", 1}}})
	require.NoError(t, err)
	assert.Equal(t, []float64{-1, 0, 1, 2, 3, 4}, late.Time)
	assert.Equal(t, []float64{gap, 1, 2, 3, 4, 5}, gapped(late.Values("position_mm")))
	assert.Equal(t, []float64{10, 20, 30, 40, 50, gap}, gapped(late.Values("torque_nm")))
	between, err := Read("a.csv", strings.NewReader(text), Options{Late: []Late{{"torque_nm", 0.25}}, Span: &Span{1, 2}})
	require.NoError(t, err)
	assert.Equal(t, []float64{0.75, 1, 1.75, 2}, between.Time)
	assert.Equal(t, []float64{20, gap, 30, gap}, gapped(between.Values("torque_nm")))
}

// What is wrong with a file is said with its place, what was found and what would be right.
func TestBrokenFiles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, text, columns, units, want string }{
		{"Empty", "", "", "", "a.csv: the file is empty"},
		{"NoNumbers", "t_s,position_mm\n", "", "", "a.csv: there is no line with a time and a value"},
		{"OneLine", "t_s,position_mm\n0,1\n", "", "", "a.csv: the file has 1 sample; must be at least 2"},
		{"NoTime", "a_s,position_mm\n0,1\n1,2\n", "", "", `a.csv:1:1: there is no column of the time; must be named as with --columns time=COLUMN; the columns are "a_s", "position_mm"`},
		{"NoSignal", "t_s,a\n0,1\n1,2\n", "", "", "a.csv:1:1: there is no column of a signal"},
		{"NoHeading", "0,1\n1,2\n", "", "", "a.csv: there is no column of the time; the file has no heading; must be numbers of columns"},
		{"NoSuchNumber", "0,1\n1,2\n", "time=#1,position_mm=#3", "time=s", "position_mm is column #3, and the lines have 2 columns"},
		{"NoSuchColumn", "t_s,a\n0,1\n1,2\n", "position_mm=b", "", `there is no column "b"; the columns are "t_s", "a"`},
		{"ColumnTwice", "t_s,a,a\n0,1,2\n1,2,3\n", "position_mm=a", "", `the column "a" is there 2 times; must be a number, such as position_mm=#2`},
		{"SignalTwice", "t_s,position_mm,position [m]\n0,1,2\n1,2,3\n", "", "", `the columns "position_mm" and "position [m]" are both position_mm`},
		{"NoUnit", "t_s,position\n0,1\n1,2\n", "", "", `the unit of the column "position" is not known; must be given for position, one of mm, m, cm, um`},
		{"NoUnitOfTime", "t,position_mm\n0,1\n1,2\n", "", "", "a.csv:2:1: the unit of the column t is not known; must be given for time, one of s, ms, us"},
		{"WrongUnit", "t_s,torque [A]\n0,1\n1,2\n", "", "", `the unit of the column "torque [A]" is "A", which is none of torque; must be one of N·m, mN·m`},
		{"Percent", "t_s,torque [%]\n0,1\n1,2\n", "", "", `the column "torque [%]" is in %; must have a scale to N·m`},
		{"Text", "t_s,position_mm\n0,1\n1,2.5x\n", "", "", `a.csv:3:3: column position_mm: "2.5x" is no number; must be one such as 12.5, or blank`},
		{"Infinite", "t_s,position_mm\n0,1\n1,inf\n2,3\n", "", "", `a.csv:3:3: column position_mm: "inf" is no number`},
		{"Grouped", "t_s;position_mm\n0;1.5\n1;1,234.5\n", "", "", `a.csv:3:3: column position_mm: "1,234.5" is no number`},
		{"TimeRunsBack", "t_s,position_mm\n0,1\n2,2\n1,3\n", "", "", "a.csv:4:1: the time 1 s comes after 2 s; must rise"},
		{"PastMidnight", "time,position_mm\n23:59:59,1\n0:00:01,2\n", "", "", "a.csv:3:1: the time -86398 s comes after 0 s; must rise"},
		{"TimeTwice", "t_s,position_mm\n0,1\n1,2\n1,3\n", "", "", "a.csv:4:3: column position_mm: the time 1 s is there twice, with 2 and 3; must be one value at a time"},
		{"TimeMissing", "t_s,position_mm\n0,1\n,2\n", "", "", "a.csv:3:1: column t_s: the time is missing"},
		{"TimeText", "t_s,position_mm\n0,1\nlater,2\n", "", "", `a.csv:3:1: column t_s: "later" is no time`},
		{"OtherTime", "time,position_mm\n12:00:00,1\n1,2\n", "", "", `a.csv:3:1: column time: "1" is no time; must be a date-time stamp`},
		{"DateWithStrokes", "time,position_mm\n01/02/2024 12:00:00,1\n01/02/2024 12:00:01,2\n", "", "", `"01/02/2024 12:00:00" is no time`},
		{"TooManyCells", "t_s,position_mm\n0,1\n1,2,3\n", "", "", `a.csv:3:5: there is a cell "3" behind the 2 columns of the heading`},
		{"TornLine", "t_s;position_mm;torque_nm\n0;1;2\n1;2\n2;3;4\n", "", "", "a.csv:3:4: the line ends after 2 cells of 3; must be all, blank where there is no value: a line that was cut off is to be deleted"},
		{"TornLastLine", "0 1 2\n1 2 3\n2 3", "time=#1,position_mm=#2,torque_nm=#3", "time=s", "a.csv:3:4: the line ends after 2 cells of 3"},
		{"CommaForBoth", "t_ms,position_mm\n0,393,8\n4,393,9\n", "", "", `a.csv:2:7: there is a cell "8" behind the 2 columns of the heading; must be as many as there (decimal sign ".", separator ","); if the comma is the decimal sign as well, numbers and cells cannot be told apart: export the file with another separator, or with a decimal point`},
		{"OpenQuote", "t_s,position_mm\n0,1\n1,\"2\n", "", "", "a.csv:3:1: a cell in quotes does not end"},
		{"NeitherTrueNorFalse", "t_s,brake_closed\n0,1\n1,2\n", "", "", `a.csv:3:3: column brake_closed: "2" is neither true nor false`},
		{"NoWord", "t_s,drive\n0,hold\n1,brake\n", "", "", `a.csv:3:3: column drive: "brake" is no word of drive; must be one of off, hold, move, press`},
		{"ScaledWord", "t_s,drive\n0,hold\n1,hold\n", "drive*2", "", "drive has words or true and false, which have no scale"},
		{"OnlyGaps", "t_s,position_mm\n0,\n1,\n", "", "", "no column of a signal has a value"},
		{"UnitOfNothing", "t_s,position_mm\n0,1\n1,2\n", "", "torque=Nm", "a unit is given for torque, which has no column"},
		{"Simulated", "t_s,position_mm,capacity_nm\n0,1,9\n1,2,9\n", "", "", "a.csv:1:1: the column capacity_nm is known to a simulation only"},
		{"ZeroByte", "t_s,position_mm\n0,1\n1,\x002\n", "", "", "a.csv:3:3: there is a zero byte"},
		{"OtherCodePage", "t_s,position_mm,\x93x\x94\n0,1,2\n1,2,3\n", "", "", "a.csv:1:17: the byte 0x93 is no character"},
		{"LongLine", "t_s,position_mm\n" + strings.Repeat("1", longestLine+1), "", "", "a.csv:2:1: the line is longer than 1048576 bytes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := Read("a.csv", strings.NewReader(c.text), options(t, c.columns, c.units))
			require.ErrorContains(t, err, c.want)
		})
	}
}

// Lines that end in blanks may leave out no cell, but a heading may have more columns than the lines.
func TestLinesOfOtherLengths(t *testing.T) {
	t.Parallel()
	r, err := Read("a.csv", strings.NewReader("t_s;position_mm;torque_nm;note;\n0;1;2\n1;;\n2;3;\n"), Options{})
	require.NoError(t, err)
	assert.Equal(t, []float64{1, gap, 3}, gapped(r.Values("position_mm")))
	assert.Equal(t, []float64{2, gap, gap}, gapped(r.Values("torque_nm")))
}

// A line that says the same again is left out and counted; one that fills a gap of its time is not.
func TestRepeatedLines(t *testing.T) {
	t.Parallel()
	r, err := Read("a.csv", strings.NewReader("t_s;position_mm;torque_nm\n0;1;2\n1;2;\n1;;3\n1;2;3\n2;3;4\n2;3;4\n"), Options{})
	require.NoError(t, err)
	assert.Equal(t, []float64{0, 1, 2}, r.Time)
	assert.Equal(t, 2, r.Layout.Repeated)
	doubts := Doubts(r, Limits{})
	require.NotEmpty(t, doubts)
	assert.True(t, doubts[0].Warning)
	assert.Contains(t, doubts[0].Error(), "t_s: 2 lines repeat the time of the line ahead and add nothing to it")
}

// A bound keeps memory small, and the message says what to do.
func TestTooManyValues(t *testing.T) {
	t.Parallel()
	_, err := Read("a.csv", bytes.NewBufferString("t_s,position_mm\n0,1\n1,2\n2,3\n"), Options{MaxValues: 4})
	require.EqualError(t, err, "a.csv:4:1: there are more than 4 values of 2 columns; must be fewer: a part of the time (span), every so many lines (every), or fewer columns")
}

// What people write to name columns.
func TestParse(t *testing.T) {
	t.Parallel()
	list, err := ParseColumns(`time=t_ms, torque=-trq*0.1+2, position="a,b=c"*-2, -speed, proof=, current_rms=#3-1e-3`)
	require.NoError(t, err)
	assert.Equal(t, []Column{
		{Signal: "time", Column: "t_ms", Scale: 1},
		{Signal: "torque", Column: "trq", Scale: -0.1, Offset: 2},
		{Signal: "position", Column: "a,b=c", Scale: -2},
		{Signal: "speed", Scale: -1},
		{Signal: "proof", Scale: 1, Absent: true},
		{Signal: "current_rms", Column: "#3", Scale: 1, Offset: -1e-3},
	}, list)
	span, err := ParseSpan("10s..1m")
	require.NoError(t, err)
	assert.Equal(t, &Span{10, 60}, span)
	late, err := ParseLate("torque=2ms")
	require.NoError(t, err)
	assert.Equal(t, []Late{{"torque", 0.002}}, late)

	_, err = ParseColumns("torc=a")
	require.ErrorContains(t, err, `"torc" is no signal; must be one of time, position`)
	_, err = ParseColumns("torque=a*0")
	require.ErrorContains(t, err, "the scale is 0; must not be zero")
	_, err = ParseUnits("torque=rpm")
	require.ErrorContains(t, err, `"rpm" is no unit of torque; must be one of N·m`)
	_, err = ParseLate("torque=2")
	require.ErrorContains(t, err, `the delay of torque is "2"; must be a time such as 2ms`)
	_, err = ParseSpan("10s..5s")
	require.ErrorContains(t, err, "the later time last")
	_, err = ParseSeparator("x")
	require.ErrorContains(t, err, "must be comma, semicolon")
	_, err = ParseDecimal(";")
	require.ErrorContains(t, err, "must be point or comma")
}
