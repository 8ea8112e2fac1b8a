package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim"
)

func page(t *testing.T, scenario string, s *screen) string {
	t.Helper()
	ready, _, err := scenarios.LoadCase(scenario, scenarios.Overrides{})
	require.NoError(t, err)
	recorder := &tape{}
	result, err := runUntil(context.Background(), ready, recorder)
	require.NoError(t, err)
	return (&timeline{screen: s, ready: ready, result: result, tape: recorder}).text()
}

func plainScreen(width int, ascii bool) *screen {
	return &screen{width: width, ascii: ascii, style: newStyles(&bytes.Buffer{}, termenv.Ascii)}
}

// The page of a run as it was last looked at and found good.
func TestTimelinePages(t *testing.T) {
	for _, scenario := range []string{"healthy-down-and-up", "lining-worn-thin", "encoder-frozen"} {
		for _, width := range []int{80, 120} {
			name := fmt.Sprintf("%s-%d", scenario, width)
			t.Run(name, func(t *testing.T) {
				got := page(t, scenario, plainScreen(width, false))
				for line := range strings.Lines(got) {
					assert.LessOrEqual(t, cells(strings.TrimSuffix(line, "\n")), width)
				}
				golden(t, name+".txt", got)
			})
		}
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	goldenIn(t, "timeline", name, got)
}

// goldenIn holds a page against the file of that name in a folder of testdata.
func goldenIn(t *testing.T, folder, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", folder, name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "run with -update if the new page is better, and look at it")
}

// A screen without our signs gets nothing but ASCII, as long as the document itself
// has nothing else.
func TestTimelineInASCII(t *testing.T) {
	for _, r := range page(t, "lining-worn-thin", plainScreen(80, true)) {
		require.Less(t, r, rune(0x80), "%q", r)
	}
}

func TestBar(t *testing.T) {
	s, a := plainScreen(80, false), plainScreen(80, true)
	for _, c := range []struct {
		share       float64
		want, ascii string
	}{
		{0, "········", "........"},
		{0.5, "████····", "####...."},
		{0.52, "████▏···", "####...."},
		{1, "████████", "########"},
		{7, "████████", "########"},
		{-1, "········", "........"},
	} {
		assert.Equal(t, c.want, s.bar(c.share, 8), "%g", c.share)
		assert.Equal(t, c.ascii, a.bar(c.share, 8), "%g", c.share)
	}
}

func TestStrip(t *testing.T) {
	columns := []column{{0, true}, {}, {5, true}, {10, true}}
	assert.Equal(t, []string{"▁ ▅█"}, plainScreen(80, false).strip(columns, 0, 10, 1))
	assert.Equal(t, []string{"  ▁█", "▁ ██"}, plainScreen(80, false).strip(columns, 0, 10, 2))
	flat := plainScreen(80, false).strip([]column{{3, true}}, 3, 3, 1)
	assert.Equal(t, []string{"▁"}, flat, "nothing to compare with")
}

// What could steer a terminal comes out as an escape.
func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"brake", "brake"},
		{"a\nb", "a\nb"},
		{"a\x1b[31mb", `a\u001b[31mb`},
		{"a\u202eb", `a\u202eb`},
		{"a\xffb", `a\xffb`},
		{"a\u009bb", `a\u009bb`},
		{"a\rb", `a\u000db`},
		{"µ N·m ✓", "µ N·m ✓"},
	} {
		assert.Equal(t, c.want, clean(c.in))
	}
	assert.Equal(t, `a\nb`, cleanLine("a\nb"))
}

func TestWrap(t *testing.T) {
	assert.Equal(t, []string{"no-fight is", "kept"}, wrap("no-fight is kept", 11))
	assert.Equal(t, []string{"abcde", "fgh"}, wrap("abcdefgh", 5))
	assert.Equal(t, []string{""}, wrap("", 5))
	assert.NotPanics(t, func() { wrap("日本", 1) })
}

func TestFitNumber(t *testing.T) {
	assert.Equal(t, " +1.50", fitNumber(1.5, 6, 2, true))
	assert.Equal(t, "  0.00", fitNumber(-0.001, 6, 2, true))
	assert.Equal(t, "-1234.5", fitNumber(-1234.54, 7, 2, true))
	assert.Equal(t, "123457", fitNumber(123456.7, 6, 2, false))
	assert.Equal(t, "1e+08", fitNumber(123456789, 5, 2, false))
}

// No figure that follows from a rig is left out of the table.
func TestDerivedIsComplete(t *testing.T) {
	var d plant.Derived
	v := reflect.ValueOf(&d).Elem()
	for i := range v.NumField() {
		v.Field(i).SetFloat(float64(i + 1))
	}
	seen := map[float64]bool{}
	for _, f := range derivedFigures() {
		seen[f.value(&d)] = true
		assert.NotEmpty(t, f.formula, f.name)
		assert.NotEmpty(t, f.meaning, f.name)
	}
	for i := range v.NumField() {
		assert.True(t, seen[float64(i+1)], v.Type().Field(i).Name)
	}
}

// Every class, event and cause has a meaning in our lists.
func TestEverythingIsExplained(t *testing.T) {
	for _, c := range sim.Classes() {
		assert.NotEqual(t, string(c), classMeaning(&sim.Result{Class: c}))
	}
	for _, l := range listings() {
		rows := l.rows()
		assert.NotEmpty(t, rows, l.kind)
		for _, r := range rows {
			assert.True(t, r.Note != "" || r.Title != "", "%s: %s", l.kind, r.Name)
		}
	}
	for _, kind := range sim.EventKinds() {
		for _, ascii := range []bool{true, false} {
			assert.Equal(t, 1, cells(plainScreen(80, ascii).glyphs().kindMark[kind]), kind)
		}
	}
}
