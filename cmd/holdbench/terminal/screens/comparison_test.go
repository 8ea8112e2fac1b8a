package screens

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim/compare"
	"holdbench/sim/history"
)

// shownBy is the screen with its blanks as such.
func shownBy(d *desk) string { return strings.ReplaceAll(d.text(), "~", " ") }

// comparedDesk has a run at its end and the run without faults as run B.
func comparedDesk(t *testing.T, w, h int) *desk {
	t.Helper()
	d := newDesk(t, "lining-worn-thin")
	d.size = tea.WindowSizeMsg{Width: w, Height: h}
	d.send(d.size)
	d.press("end", "y", "enter")
	require.NotNil(t, d.bench.other, shownBy(d))
	require.NotNil(t, d.bench.other.result, "the run stands still, so it is compared")
	return d
}

func TestCompareWithTheRunWithoutFaults(t *testing.T) {
	t.Parallel()
	for _, z := range goldenSizes {
		d := comparedDesk(t, z[0], z[1])
		first := d.bench.firstDifference()
		require.NotNil(t, first)
		assert.Equal(t, "capacity_nm", first.Signal, "the truth is shown")
		d.press("j")
		assert.InDelta(t, first.AtAS, d.view().TS, 1e-9, "the key goes to the first difference")
		text := shownBy(d)
		assert.Contains(t, text, "B run without faults, at the same time")
		assert.Regexp(t, `capacity_nm• +[\d.]+ +[\d.]+ +\+[\d.]+`, text, "both values and B − A")
		d.press("j")
		seen := d.bench.other.result.Visible[0].AtAS
		require.Greater(t, seen, first.AtAS)
		assert.InDelta(t, seen, d.view().TS, 1e-9, "pressed again, to the first that the sequence sees")
		d.press("j")
		assert.InDelta(t, first.AtAS, d.view().TS, 1e-9)
		d.press("end")
		assert.Regexp(t, `≠ B after verdict`, shownBy(d), "the path says where B went on")
	}
}

// The last moment of a run is one of a run B that is as long, and a run that was not played to its end says so.
func TestCompareRunsOfOneLength(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.size = tea.WindowSizeMsg{Width: 120, Height: 40}
	d.send(d.size)
	d.press("y", "enter", "j")
	assert.Contains(t, d.bench.notice.Text, "as far as the run was played; the key end plays it to its end")
	d.press("end")
	require.True(t, d.bench.player.Shown().Over)
	assert.NotContains(t, shownBy(d), "B has no such moment")
	d.press("j")
	assert.Regexp(t, `^no difference up to [\d.]+ s$`, d.bench.notice.Text)
}

// With the truth hidden, nothing of it is compared.
func TestHiddenTruthIsNotCompared(t *testing.T) {
	t.Parallel()
	d := comparedDesk(t, 200, 60)
	d.press("h", "j")
	first := d.bench.firstDifference()
	require.NotNil(t, first)
	assert.NotEqual(t, "truth", first.Group)
	assert.InDelta(t, first.AtAS, d.view().TS, 1e-9)
	for range 30 {
		text := shownBy(d)
		for _, signal := range []string{"capacity_nm", "slip_deg", "load_mm", "torque_brake", "angle_rad"} {
			assert.NotContains(t, text, signal)
		}
		d.press(">")
	}
}

// With the truth hidden no panel says what the run is about, and running again does not show it.
func TestHiddenTruthIsHiddenEverywhere(t *testing.T) {
	t.Parallel()
	d := comparedDesk(t, 200, 60)
	d.press("h")
	assert.NotContains(t, d.bench.Name(), "lining")
	for _, k := range []string{"f", "i", "k"} {
		d.press(k)
		assert.Contains(t, shownBy(d), "not available while the truth is hidden")
	}
	for _, k := range []string{"r", "l", "y"} {
		d.press(k)
		assert.NotContains(t, shownBy(d), "lining-worn-thin")
		assert.NotContains(t, shownBy(d), "capacity_nm")
		d.press("esc")
	}
	d.press("h")
	assert.Contains(t, d.bench.Name(), "lining-worn-thin")
}

// In a riddle the list names no scenario, and what is compared does not reveal the fault.
func TestRiddleIsComparedWithoutTruth(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 3)
	d.press("r", "end", "y")
	c, ok := d.top().(*compareScreen)
	require.True(t, ok, shownBy(d))
	for _, row := range c.list.all {
		assert.Equal(t, "runs", row.group)
		assert.NotRegexp(t, "fault|=", row.about)
	}
	d.press("enter")
	require.NotNil(t, d.bench.other)
	for range int(view.ComparedTab) + 1 {
		masked(t, d, b.riddle)
		d.press("tab")
	}
	d.press("j", "Y")
	masked(t, d, b.riddle)
	d.send(MaskRiddle{&RiddleMask{Title: "another riddle", level: 2}})
	assert.Nil(t, d.bench.other, "the next riddle is not compared with a run of this one")
	assert.NotEqual(t, view.ComparedTab, d.bench.show.tab)
	d.send(MaskRiddle{})
	assert.Equal(t, 2, d.bench.riddleLevel, "the level that the next one begins at")
}

// The same run again has no difference; a scenario has its own.
func TestCompareWithAnEarlierRunAndAScenario(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down")
	d.press("end", "r", "end", "y", "down", "enter")
	require.NotNil(t, d.bench.other)
	assert.Equal(t, "earlier run 1", d.bench.other.name)
	d.press("j")
	assert.Contains(t, shownBy(d), "no difference up to")
	assert.Contains(t, shownBy(d), "B: the same states so far")

	d.press("y")
	for _, r := range "lining-worn-thin" {
		d.press(string(r))
	}
	d.press("enter")
	assert.Equal(t, "lining-worn-thin", d.bench.other.name)
	require.NotNil(t, d.bench.firstDifference())
	assert.Equal(t, "close_brake", d.bench.firstDifference().StateA)

	d.press("y", "home", "enter")
	assert.Nil(t, d.bench.other, "the first row ends the comparison")
	assert.NotContains(t, shownBy(d), "compared")
}

// What is done to the run is compared once it stands still.
func TestChangeIsCompared(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down")
	d.press("end", "y", "enter")
	require.Nil(t, d.bench.firstDifference(), "it has no faults")
	d.goTo(8000)
	d.press("x")
	d.press("end")
	first := d.bench.firstDifference()
	require.NotNil(t, first)
	assert.InDelta(t, 2, first.AtAS, 0.01, "the emergency stop was pressed then: %v", first)
}

// A key aligns at the state, at the last event, and at the same time again.
func TestAlign(t *testing.T) {
	t.Parallel()
	d := comparedDesk(t, 120, 40)
	d.press("home", "s", "s", "s", "s")
	state := d.bench.Case().Sequence.States[d.view().State].Name
	for _, want := range []string{"state:" + state, "event:trigger on", "time"} {
		d.press("Y")
		assert.Equal(t, want, d.bench.other.by.String())
		require.NotNil(t, d.bench.other.result)
		assert.Equal(t, compare.AlignBy(strings.SplitN(want, ":", 2)[0]), d.bench.other.result.By.By)
		assert.InDelta(t, d.bench.other.shiftS, d.bench.other.result.ShiftS(), 1e-9)
	}
	d.press("end", "Y")
	assert.Equal(t, "B has no state locked_out and no event fail (moved); aligned at the same time", d.bench.notice.Text)
	assert.NotEqual(t, compare.AtState, d.bench.other.by.By)
}

// While the run plays nothing is known of what it has come to since it was compared: no difference is denied.
func TestNoDifferenceIsDeniedWhileTheRunPlays(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.size = tea.WindowSizeMsg{Width: 120, Height: 40}
	d.send(d.size)
	d.press("y", "enter")
	assert.Contains(t, shownBy(d), "no difference so far", "up to here, where the run stands still")
	d.press(" ")
	d.playFor(5 * time.Second)
	require.Equal(t, player.Playing, d.bench.player.State())
	playing := shownBy(d)
	assert.Contains(t, playing, "≠ state")
	assert.NotContains(t, playing, "no difference so far")
	assert.NotContains(t, playing, "the same states so far")
	assert.Equal(t, 2, strings.Count(playing, "not compared yet: pause the run"), "above the values, and on the path")
	d.press("j")
	assert.Contains(t, d.bench.notice.Text, "no difference up to 0.000 s; the rest is compared once the run on the bench stands still")

	d.press(" ")
	first := d.bench.firstDifference()
	require.NotNil(t, first)
	assert.Contains(t, shownBy(d), "≠ B after verdict_down")
	d.press(" ")
	d.playFor(time.Second / 2)
	require.Equal(t, player.Playing, d.bench.player.State())
	assert.Equal(t, first, d.bench.firstDifference(), "what was found stays")
	assert.Contains(t, shownBy(d), "≠ B after verdict_down")
}

// Aligned otherwise while the run plays, what was compared of it is compared again at once.
func TestAlignWhileTheRunPlays(t *testing.T) {
	t.Parallel()
	d := comparedDesk(t, 120, 40)
	d.press("home", "s", "s", "s", "s", " ", "Y")
	require.Equal(t, player.Playing, d.bench.player.State())
	require.Equal(t, compare.AtState, d.bench.other.by.By)
	require.NotNil(t, d.bench.firstDifference())
	assert.Equal(t, compare.AtState, d.bench.other.result.By.By)
	assert.NotContains(t, shownBy(d), "not compared yet")
}

// Without a run B the keys say how to get one; another scenario on the bench has none.
func TestKeysWithoutARunB(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down")
	for _, k := range []string{"j", "Y", ">", "<"} {
		d.press(k)
		assert.Contains(t, shownBy(d), "there is no run B; y chooses one", k)
	}
	d = comparedDesk(t, 80, 24)
	d.send(Chosen{Reference: "healthy-arm"})
	assert.Nil(t, d.bench.other)
}

// With the nominal run behind the run, the key for the first difference compares with it.
func TestFirstDifferenceFromTheNominalRun(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.press("end", "o", "j")
	d.says("compared with run without faults; j goes to the first difference", false)
	require.NotNil(t, d.bench.firstDifference())
	d.press("j")
	assert.InDelta(t, d.bench.firstDifference().AtAS, d.view().TS, 1e-9)
}

// The values are scrolled on a small screen, and stay within the list.
func TestValuesAreScrolled(t *testing.T) {
	t.Parallel()
	d := comparedDesk(t, 80, 24)
	seen := map[string]bool{}
	d.press("j")
	for range 60 {
		for line := range strings.Lines(shownBy(d)) {
			if name, _, ok := strings.Cut(strings.TrimLeft(line, " ≠"), " "); ok {
				seen[name] = true
			}
		}
		d.press(">")
	}
	for _, name := range []string{"position_mm", "torque_nm", "brake_closed", "ask", "judge_cause"} {
		assert.True(t, seen[name], name)
	}
	for range 60 {
		d.press("<")
	}
	assert.Zero(t, d.bench.other.offset)
}

func TestCompareScreens(t *testing.T) {
	for _, z := range goldenSizes {
		c := sized(t, newCompare([]choice{{group: "runs", name: "earlier run 1", about: "5.838 s, healthy-down with 1 added fault", place: 1, kind: int(earlierOther)}}, false, true), z[0], z[1])
		golden(t, fmt.Sprintf("compare-%dx%d", z[0], z[1]), text(c, z[0], z[1]))
	}
}

// compareKeyCases are the keys of run B.
func compareKeyCases() map[string]keyCase {
	withB := func(d *desk) { d.press("end", "y", "enter") }
	return map[string]keyCase{
		"Other": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			press()
			_, ok := d.top().(*compareScreen)
			assert.True(t, ok, "a list of what it can be compared with")
		},
		"First": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			withB(d)
			press()
			d.says("no difference up to", false)
		},
		"Align": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			withB(d)
			press()
			d.says("aligned at state passed", false)
		},
		"MoreValues": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			withB(d)
			press()
			assert.Equal(t, valuesScrolled, d.bench.other.offset)
		},
		"LessValues": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			withB(d)
			d.press(">", ">")
			press()
			assert.Equal(t, valuesScrolled, d.bench.other.offset)
		},
	}
}

// The second brake is compared like the first, in the values and as curves of B.
func TestCompareTheSecondBrake(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "second-brake-worn")
	d.size = tea.WindowSizeMsg{Width: 200, Height: 60}
	d.send(d.size)
	d.press("end", "y", "enter")
	require.NotNil(t, d.bench.other, shownBy(d))
	d.press("[", "[", "[", "[", "[", "[", "[", "[") // B ends earlier
	text := shownBy(d)
	assert.Contains(t, text, "torque_brake_2_nm•")
	assert.Contains(t, text, "capacity_2_nm•")
	assert.Contains(t, text, "speed (mm/s)")
	carried := func(s history.Sample) bool { return s.Brake2NM != 0 && s.Capacity2NM != 0 }
	assert.True(t, slices.ContainsFunc(d.bench.other.samples, carried))
}
