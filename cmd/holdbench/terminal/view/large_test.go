package view_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim/history"
)

func views() []view.LargeView {
	var list []view.LargeView
	for v := range view.LargeViewCount {
		list = append(list, v)
	}
	return list
}

// Every screen below was looked at before it was kept.
func TestLargeScreens(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name, scenario string
		at             moment
		views          []view.LargeView
		sizes          []size
		ascii          bool
		change         func(*testing.T, *view.Scene, *history.Run)
	}{
		{name: "state", scenario: "healthy-down-and-up", at: entered("verdict_down", 0.6), views: views()[:1], sizes: sizes},
		{name: "load", scenario: "healthy-down-and-up", at: entered("press_down", 0.2), views: []view.LargeView{view.LargeLoad}, sizes: sizes},
		{name: "judge", scenario: "healthy-down-and-up", at: entered("verdict_down", 0.6), views: []view.LargeView{view.LargeJudge}, sizes: sizes},
		{name: "torque", scenario: "lining-worn-thin", at: failed(60), views: []view.LargeView{view.LargeTorque}, sizes: sizes},
		{name: "position", scenario: "lining-worn-thin", at: never, views: []view.LargeView{view.LargePosition}, sizes: sizes},
		{name: "hidden", scenario: "lining-worn-thin", at: failed(60), views: []view.LargeView{view.LargeLoad}, sizes: sizes[:1], change: hideTruth},
		{name: "drop", scenario: "transmission-severed", at: never, views: []view.LargeView{view.LargeState}, sizes: sizes[:2]},
		{name: "ascii", scenario: "lining-worn-thin", at: failed(60), views: []view.LargeView{view.LargeTorque}, sizes: sizes[:1], ascii: true},
		{name: "long", scenario: "lining-worn-thin", at: entered("move_to_support", 0.1), views: []view.LargeView{view.LargeState}, sizes: sizes[:1]},
		{name: "powerless", scenario: "healthy-down-and-up", at: entered("verdict_down", 0.6), views: []view.LargeView{view.LargeJudge}, sizes: sizes[:1], change: losePower(0.4)},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			s, r := scene(t, test.scenario, test.at)
			if test.change != nil {
				test.change(t, s, r)
			}
			for _, v := range test.views {
				for _, z := range test.sizes {
					p := page.New(z.w, z.h, test.ascii)
					view.Large(p.Area(), s, v)
					golden(t, "large-"+test.name+"-"+strconv.Itoa(z.w), p)
				}
			}
		})
	}
}

// What must not be overlooked is a banner in every view; without the truth, that of the judge alone.
func TestLargeBanners(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "transmission-severed", never)
	judged, _ := scene(t, "lining-worn-thin", failed(60))
	for _, v := range views() {
		assert.Contains(t, drawnLarge(s, v), "LOAD DROP")
		assert.Contains(t, drawnLarge(judged, v), "judge ✗ failed")
	}
	hideTruth(t, s, r)
	hideTruth(t, judged, nil)
	for _, v := range views() {
		assert.NotContains(t, drawnLarge(s, v), "LOAD DROP")
		assert.NotContains(t, drawnLarge(s, v), "•")
		assert.NotContains(t, drawnLarge(s, v), s.Case.Scenario.Scenario)
		assert.NotContains(t, drawnLarge(s, v), string(s.Result.Class))
		assert.Contains(t, drawnLarge(judged, v), "judge ✗ failed")
	}
}

// The view of the judge says its verdict once, with all the room there is.
func TestLargeVerdictStandsOnce(t *testing.T) {
	t.Parallel()
	for _, truth := range []bool{true, false} {
		judged, _ := scene(t, "lining-worn-thin", failed(60))
		judged.Truth = truth
		assert.Equal(t, 1, strings.Count(drawnLarge(judged, view.LargeJudge), "judge ✗ failed"), "small, in the status")
		assert.Equal(t, 2, strings.Count(drawnLarge(judged, view.LargeLoad), "judge ✗ failed"), "and below the banner of another view")
	}
	dropped, _ := scene(t, "transmission-severed", never)
	assert.Equal(t, 2, strings.Count(drawnLarge(dropped, view.LargeJudge), "LOAD DROP"), "a load drop is no verdict")
}

func drawnLarge(s *view.Scene, v view.LargeView) string {
	p := page.New(80, 23, false)
	view.Large(p.Area(), s, v)
	return p.Text()
}

// From the back of a room small text is not read: at 80×24 the state, the load, the verdict and the value of a
// curve have letters of at least three and a half rows.
func TestLargeLetters(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down-and-up", entered("verdict_down", 0.6))
	for _, v := range views() {
		rows := 0
		for _, line := range strings.Split(drawnLarge(s, v), "\n") {
			if strings.Count(line, "█")+strings.Count(line, "▀")+strings.Count(line, "▄") >= 6 {
				rows++
			}
		}
		assert.GreaterOrEqual(t, rows, 4, "view %d", v)
	}
}

// The large screen says whether operation is allowed.
func TestLargeStatus(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down-and-up", entered("verdict_down", 0.6))
	for _, v := range views() {
		assert.Contains(t, drawnLarge(s, v), "◼ operation inhibited", "view %d", v)
	}
}

// Whatever a scene holds, it can be drawn large, and the screen keeps its size.
func TestAnyLargeScene(t *testing.T) {
	t.Parallel()
	whole, _ := scene(t, "lining-worn-thin", never)
	rapid.Check(t, func(t *rapid.T) {
		s := *whole
		look := *whole.View
		s.View = &look
		drawLook(t, &look)
		s.HeadS, s.Speed, s.SpanS = odd(t, "head"), odd(t, "speed"), odd(t, "span")
		s.Truth, s.AtHead = rapid.Bool().Draw(t, "truth"), rapid.Bool().Draw(t, "at head")
		w, h := rapid.IntRange(0, 210).Draw(t, "w"), rapid.IntRange(0, 70).Draw(t, "h")
		p := page.New(w, h, rapid.Bool().Draw(t, "ascii"))
		view.Large(p.Area(), &s, view.LargeView(rapid.IntRange(-1, 6).Draw(t, "view")))
		require.Len(t, strings.Split(p.Text(), "\n"), max(h, 1))
	})
}
