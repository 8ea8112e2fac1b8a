package view_test

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim"
	"holdbench/sim/history"
)

var (
	update   = flag.Bool("update", false, "rewrite the golden files")
	pictures = flag.String("pictures", "", "folder to draw the screens into as SVG")
)

// size is that of the bench's area: the last row of a terminal is for the hints of keys.
type size struct{ w, h int }

var sizes = []size{{80, 23}, {120, 39}, {200, 59}}

// Every screen below was looked at before it was kept.
func TestScreens(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, scenario string
		at             moment
		sizes          []size
		ascii          bool
		take           func(testing.TB, string, moment) (*view.Scene, *history.Run) // scene without one
		change         func(*testing.T, *view.Scene, *history.Run)
	}{
		{name: "before", scenario: "healthy-down-and-up", at: entered("ready", 0.3), sizes: sizes},
		{name: "travel", scenario: "healthy-down-and-up", at: entered("travel", 0.8), sizes: sizes},
		{name: "judged", scenario: "healthy-down-and-up", at: entered("verdict_down", 0.6), sizes: sizes},
		{name: "slips", scenario: "lining-worn-thin", at: failed(60), sizes: sizes},
		{name: "end", scenario: "lining-worn-thin", at: never, sizes: sizes},
		{name: "hidden", scenario: "lining-worn-thin", at: failed(60), sizes: sizes[:2], change: hideTruth},
		{name: "masked", scenario: "lining-worn-thin", at: failed(60), sizes: sizes[:1], change: mask},
		{name: "earlier", scenario: "lining-worn-thin", at: never, sizes: sizes[1:], change: goBack},
		{name: "compared", scenario: "lining-worn-thin", at: never, sizes: sizes, change: besideSound},
		{name: "compared-curves", scenario: "lining-worn-thin", at: never, sizes: sizes[:1], change: curvesBesideSound},
		{name: "events", scenario: "lining-worn-thin", at: never, sizes: sizes[:1], change: tab(view.EventsTab)},
		{name: "faults", scenario: "emergency-stop-then-oil", at: entered("travel", 0.1), sizes: sizes[:2], change: tab(view.FaultsTab)},
		{name: "obligations", scenario: "transmission-severed", at: never, sizes: sizes[:2], change: tab(view.ObligationsTab)},
		{name: "arm", scenario: "healthy-arm", at: entered("press_up", 0.2), sizes: sizes[1:2]},
		{name: "pair", scenario: "healthy-coupled-pair", at: entered("verdict_down", 0.3), sizes: sizes[1:2]},
		{name: "two-brakes", scenario: "healthy-two-brakes", at: onBrake2("verdict_up", 0.5), sizes: sizes},
		{name: "set-down", scenario: "second-brake-worn", at: never, sizes: sizes},
		{name: "supported", scenario: "support-carries-the-load", at: never, sizes: sizes[1:2]},
		{name: "frozen", scenario: "encoder-frozen", at: never, sizes: sizes[1:2]},
		{name: "powerless", scenario: "healthy-down-and-up", at: entered("verdict_down", 0.6), sizes: sizes, change: losePower(0.4)},
		{name: "program", scenario: "healthy-down-and-up", at: entered("travel", 0.8), sizes: sizes, take: withProgram},
		{name: "program-press", scenario: "healthy-down-and-up", at: entered("press_down", 0.2), sizes: sizes[:2], take: withProgram},
		{name: "stopped", scenario: "healthy-down-and-up", at: stopped, sizes: sizes[:2], take: withStop},
		{name: "untold", scenario: "healthy-down-and-up", at: entered("travel", 0.8), sizes: sizes[:2], take: withSilent},
		{name: "untold-end", scenario: "healthy-down-and-up", at: never, sizes: sizes[:1], take: withSilent},
		{name: "ascii", scenario: "lining-worn-thin", at: failed(60), sizes: sizes[:2], ascii: true},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			take := scene
			if test.take != nil {
				take = test.take
			}
			s, r := take(t, test.scenario, test.at)
			if test.change != nil {
				test.change(t, s, r)
			}
			for _, z := range test.sizes {
				p := page.New(z.w, z.h, test.ascii)
				view.Bench(p.Area(), s)
				golden(t, test.name+"-"+strconv.Itoa(z.w), p)
			}
		})
	}
}

func golden(t *testing.T, name string, p *page.Page) {
	t.Helper()
	if *pictures != "" {
		require.NoError(t, os.WriteFile(filepath.Join(*pictures, name+".svg"), p.SVG(name, true), 0o644))
	}
	path := filepath.Join("testdata", name+".txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(p.Text()+"\n"), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), p.Text()+"\n", "%s; look at the difference, then rewrite with -update", path)
}

func tab(chosen view.Tab) func(*testing.T, *view.Scene, *history.Run) {
	return func(_ *testing.T, s *view.Scene, _ *history.Run) { s.Tab = chosen }
}

// mask hides what runs, as in a riddle.
func mask(t *testing.T, s *view.Scene, r *history.Run) {
	t.Helper()
	hideTruth(t, s, r)
	s.Title = "what is wrong here"
}

// hideTruth does what the bench does with events that must not be seen.
func hideTruth(_ *testing.T, s *view.Scene, _ *history.Run) {
	s.Truth = false
	s.Events = slices.DeleteFunc(slices.Clone(s.Events), func(e sim.Event) bool {
		return sim.TruthOnly(e.Kind)
	})
}

// goBack looks at the press of a run that is over, with a sound run behind it.
func goBack(t *testing.T, s *view.Scene, r *history.Run) {
	t.Helper()
	sound, _ := scene(t, "healthy-down-and-up", never)
	s.Earlier, s.Nominal = sound.Samples, sound.Samples
	for i := range s.Samples {
		if s.Samples[i].TS >= 3.25 {
			s.View = r.At(s.Samples[i].Tick).View()
			break
		}
	}
	s.AtHead, s.SpanS, s.Changed, s.Notice = false, 2, true, "back at 3.250 s; what is changed now makes a new run"
}

// besideSound has a sound run as run B, in the tab of both.
func besideSound(t *testing.T, s *view.Scene, _ *history.Run) {
	t.Helper()
	sound, _ := scene(t, "healthy-down-and-up", never)
	s.Earlier, s.EarlierBlocks = sound.Samples, sound.Blocks
	s.Tab = view.ComparedTab
	s.Compared = &view.Compared{
		Name: "healthy-down-and-up", Aligned: "at state press_down", BS: 7.748, First: "2.614 s in close_brake: capacity_nm 2.445, B 6.986", FirstS: 2.614,
		Parted: true, Common: 8, After: "verdict_down", PathB: []string{"withdraw_ask", "press_up", "verdict_up", "passed"},
		Values: []view.ComparedValue{
			{Name: "position_mm", A: "20", B: "20", Apart: "0"},
			{Name: "state", A: "locked_out", B: "passed", Differs: true},
			{Name: "capacity_nm", A: "3.15", B: "9", Apart: "+5.85", Differs: true, Truth: true},
			{Name: "torque_nm", A: "2.956", B: "2.956", Apart: "0"},
			{Name: "alarm", A: "brake test failed", B: "none", Differs: true},
			{Name: "trigger", A: "true", B: "true"}, {Name: "cancel", A: "false", B: "false"}, {Name: "estop", A: "false", B: "false"},
		},
	}
}

func curvesBesideSound(t *testing.T, s *view.Scene, r *history.Run) {
	t.Helper()
	besideSound(t, s, r)
	s.Tab = view.CurvesTab
}

// losePower takes the power away and goes on for a while.
func losePower(seconds float64) func(*testing.T, *view.Scene, *history.Run) {
	return func(t *testing.T, s *view.Scene, r *history.Run) {
		t.Helper()
		require.NoError(t, r.Change(func(b *sim.Bench) error { return b.SetButton("power_loss", true) }))
		r.Advance(r.Ticks()+int64(seconds/r.Case().Rig.Clock.Tick.Seconds()), nil)
		*s = *newest(t, r)
	}
}

// What only the plant knows carries its sign, so a screen that hides the truth is free of it.
func TestHiddenTruth(t *testing.T) {
	t.Parallel()
	for _, scenario := range []string{"lining-worn-thin", "encoder-frozen", "transmission-severed"} {
		s, r := scene(t, scenario, never)
		hideTruth(t, s, r)
		for _, s.Tab = range []view.Tab{view.CurvesTab, view.EventsTab, view.FaultsTab, view.ObligationsTab} {
			for _, z := range sizes {
				p := page.New(z.w, z.h, false)
				view.Bench(p.Area(), s)
				text := p.Text()
				assert.NotContains(t, text, "•")
				assert.NotContains(t, text, string(s.Result.Class))
			}
		}
		s.Truth, s.Title = true, ""
		p := page.New(200, 59, false)
		view.Bench(p.Area(), s)
		assert.Contains(t, p.Text(), "•"+string(s.Result.Class))
	}
}

// A program is drawn in any room: a timer has its Q and its ET once there is room for them, and a whole
// line has its values below it where rows are free.
func TestProgramInAnyRoom(t *testing.T) {
	t.Parallel()
	s, _ := withProgram(t, "healthy-down-and-up", entered("travel", 0.8))
	halted, _ := withStop(t, "healthy-down-and-up", stopped)
	for w := 0; w < 90; w += 4 {
		for _, h := range []int{0, 1, 2, 9, 60} {
			p := page.New(w, h, false)
			view.Transitions(p.Area(), s)
			if text := p.Text(); w >= 36 && h >= 9 {
				require.Regexp(t, `closed\.Q ?= ?FALSE, (closed)?\.ET ?= ?T#0s`, text, "%d×%d", w, h)
			}
			if h == 60 && w >= 50 && w < 80 {
				require.Contains(t, p.Text(), "362   closed(IN := brake_closed, PT := T#50ms);\n", "%d×%d", w, h)
			}
			view.Transitions(page.New(w, h, false).Area(), halted)
		}
	}
}

// A masked run gives neither its name nor its faults away.
func TestMasked(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "lining-worn-thin", never)
	mask(t, s, r)
	for _, s.Tab = range []view.Tab{view.CurvesTab, view.EventsTab, view.FaultsTab, view.ObligationsTab} {
		for _, z := range sizes {
			p := page.New(z.w, z.h, false)
			view.Bench(p.Area(), s)
			assert.Contains(t, p.Text(), s.Title)
			for _, secret := range []string{s.Case.Scenario.Scenario, "Lining", "▲", "brake.condition"} {
				assert.NotContains(t, p.Text(), secret)
			}
		}
	}
}

// The mouse finds the moment that the screen shows, and the tabs by their names.
func TestHits(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "lining-worn-thin", never)
	for _, z := range sizes {
		p := page.New(z.w, z.h, false)
		view.Bench(p.Area(), s)
		rows := strings.Split(p.Text(), "\n")
		hits, found := view.HitsOf(z.w, z.h, s), map[view.Tab]bool{}
		least, most, moments := s.HeadS, 0.0, 0
		for y, row := range rows {
			for x := 0; x < z.w; x++ {
				if tab, ok := hits.TabAt(x, y); ok {
					found[tab] = true
					assert.Contains(t, row, []string{"over time", "events", "faults", "obligations"}[tab])
				}
				if seconds, ok := hits.TimeAt(x, y); ok {
					least, most, moments = min(least, seconds), max(most, seconds), moments+1
				}
			}
		}
		assert.Zero(t, least)
		assert.InDelta(t, s.HeadS, most, 1e-9)
		assert.Greater(t, moments, z.w)
		switch {
		case z.w < 100:
			assert.Len(t, found, 4)
		case z.w < 160:
			assert.Len(t, found, 3)
		}
	}
}

// A moment is found where it is drawn: the judge's verdict on the timeline.
func TestTimeAt(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "lining-worn-thin", never)
	p := page.New(100, 23, false)
	view.Bench(p.Area(), s)
	rows := strings.Split(p.Text(), "\n")
	at := slices.Index([]rune(rows[22]), '§')
	require.Positive(t, at)
	hits := view.HitsOf(100, 23, s)
	moment, ok := hits.TimeAt(at, 22)
	require.True(t, ok)
	assert.InDelta(t, 3.31, moment, s.HeadS/80)
	for _, beside := range [][2]int{{0, 22}, {50, 5}, {-1, -1}, {50, 99}} {
		_, ok = hits.TimeAt(beside[0], beside[1])
		assert.False(t, ok, "%v", beside)
	}
	_, ok = view.HitsOf(100, 23, nil).TimeAt(50, 22)
	assert.False(t, ok)
}

// The longest of everything still ends inside of its area, and nothing beside it is touched.
func TestEverySize(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "emergency-stop-at-a-failed-verdict", failed(200))
	goBack(t, s, r)
	step := 1
	if testing.Short() {
		step = 5
	}
	for w := 0; w <= 90; w += 3 * step {
		for h := 0; h <= 30; h += step {
			for _, pane := range panes() {
				p := page.New(w+4, h+4, false)
				p.Area().Fill('@', page.Plain)
				inner := p.Area().Sub(2, 2, w, h)
				inner.Fill(' ', page.Plain)
				pane(inner, s)
				frame(t, p, w, h)
			}
		}
	}
}

func frame(t *testing.T, p *page.Page, w, h int) {
	t.Helper()
	for y, row := range strings.Split(p.Text(), "\n") {
		cells := []rune(row)
		if y < 2 || y >= h+2 {
			require.Equal(t, strings.Repeat("@", w+4), row)
			continue
		}
		require.Equal(t, "@@", string(cells[:2]))
		require.Equal(t, "@@", string(cells[w+2:]))
	}
}

func panes() []func(page.Area, *view.Scene) {
	return []func(page.Area, *view.Scene){
		view.Bench, view.Header, view.Axis, view.Window, view.Path, view.Transitions, view.Commands, view.Torque, view.Judge,
		view.Curves, view.Timeline, view.EventList, view.FaultList, view.ObligationList,
	}
}

// A screen without a run says so.
func TestNoRun(t *testing.T) {
	t.Parallel()
	for _, s := range []*view.Scene{nil, {}, {HeadS: 3}} {
		p := page.New(80, 23, false)
		view.Bench(p.Area(), s)
		assert.Equal(t, "no run", strings.TrimSpace(p.Text()))
		for _, pane := range panes() {
			pane(p.Area(), s)
		}
	}
}

func TestNotice(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down", entered("ready", 0.1))
	s.Notice = "kept as healthy-tried.yaml"
	for _, z := range sizes {
		for _, s.Bad = range []bool{false, true} {
			p := page.New(z.w, z.h, false)
			view.Bench(p.Area(), s)
			rows := strings.Split(p.Text(), "\n")
			assert.Contains(t, rows[z.h-1], map[bool]string{false: "kept", true: "✗ kept"}[s.Bad])
		}
	}
}

// A notice that is longer than a row is read to its end, in rows of its own.
func TestLongNotice(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down", entered("ready", 0.1))
	s.Notice = "run again with 1 other value, 1 added fault and 1 action that the document does not have; i lists them"
	for _, z := range sizes {
		p := page.New(z.w, z.h, false)
		view.Bench(p.Area(), s)
		list := strings.Split(p.Text(), "\n")
		assert.Len(t, list, z.h)
		text := strings.TrimRight(list[z.h-2]+"\n"+list[z.h-1], " ")
		assert.Contains(t, strings.ReplaceAll(text, "\n", " "), s.Notice, z)
	}
	s.Notice = strings.Repeat("more ", 200)
	assert.Contains(t, text(view.Bench, 80, 24, s), "…")
}

func BenchmarkBench(b *testing.B) {
	s, r := scene(b, "healthy-down-and-up", never)
	s.Earlier, s.Nominal = r.Samples(), r.Samples()
	p := page.New(200, 59, false)
	b.ReportAllocs()
	for b.Loop() {
		view.Bench(p.Area(), s)
	}
}
