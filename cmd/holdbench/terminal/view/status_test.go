package view_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sequence"
	"holdbench/sim"
)

// What a person at the machine must see is on the screen at every size.
func TestStatusIsOnEverySize(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "lining-worn-thin", never)
	s.View.Out.Alarm = "brake test failed"
	for _, size := range [][2]int{{200, 60}, {120, 40}, {80, 24}, {80, 12}, {60, 8}, {50, 5}} {
		p := page.New(size[0], size[1], false)
		view.Bench(p.Area(), s)
		assert.Contains(t, p.Text(), "operation inhibited", size)
		assert.Contains(t, p.Text(), "brake test failed", size)
	}
}

// An alarm is read to its end beside a load that drops.
func TestAlarmIsNotCut(t *testing.T) {
	t.Parallel()
	at := 3.0
	const alarm = "stopped with a suspect brake - axis locked out - keep away from the load - prop it only at rest"
	for _, size := range [][2]int{{200, 60}, {120, 40}, {80, 24}, {80, 19}, {80, 12}, {60, 10}, {40, 9}} {
		s, _ := scene(t, "lining-worn-thin", never)
		s.View.Out.Alarm = alarm
		s.View.Obligations = []sim.Obligation{{Name: sim.NoDrop, AtS: &at, Detail: "load drop 203 mm, limit 5 mm; first in state travel"}}
		p := page.New(size[0], size[1], false)
		view.Bench(p.Area(), s)
		text := strings.Join(strings.Fields(p.Text()), " ")
		assert.Contains(t, text, alarm, size)
		assert.Contains(t, text, "operation inhibited", size)
		if size[0] >= 60 {
			assert.Contains(t, text, "LOAD DROP 203 mm, limit 5 mm", size)
		}
		assert.Len(t, strings.Split(p.Text(), "\n"), size[1], size)
	}
}

func TestStatus(t *testing.T) {
	t.Parallel()
	at := 3.0
	dropped := sim.Obligation{Name: sim.NoDrop, AtS: &at, Detail: "load drop 203 mm, limit 5 mm; first in state travel"}
	for _, c := range []struct {
		name   string
		change func(*view.Scene)
		want   string
	}{
		{"allowed", func(s *view.Scene) { s.View.Judge.Withheld, s.View.Out.Operation = false, sequence.OperationAllowed }, "✓ operation allowed"},
		{"withheld", func(s *view.Scene) { s.View.Judge.Withheld, s.View.Out.Operation = true, sequence.OperationAllowed }, "✗ operation withheld"},
		{"inhibited", func(*view.Scene) {}, "◼ operation inhibited"},
		{"without power", func(s *view.Scene) { s.View.Unpowered = true }, "✗ operation inhibited: no power"},
		{"a load that drops", func(s *view.Scene) { s.View.Obligations = []sim.Obligation{dropped} }, "◼ operation inhibited  ✗ LOAD DROP 203 mm, limit 5 mm"},
		{"with the truth hidden", func(s *view.Scene) { s.View.Obligations, s.Truth = []sim.Obligation{dropped}, false }, "◼ operation inhibited"},
		{"another obligation", func(s *view.Scene) { s.View.Obligations = []sim.Obligation{{Name: sim.NoFight}} }, "◼ operation inhibited  ✗ broken: no-fight"},
		{"one that is not judged", func(s *view.Scene) { s.View.Obligations = []sim.Obligation{{Name: sim.NoFight, NotJudged: "stopped"}} }, "◼ operation inhibited"},
		{"a new verdict", func(s *view.Scene) {
			s.Events = []sim.Event{{Kind: sim.KindJudge, TS: s.View.TS - 1, What: "failed: moved"}}
		}, "◼ operation inhibited  judge ✗ failed: moved"},
		{"a pass", func(s *view.Scene) {
			s.Events = []sim.Event{{Kind: sim.KindJudge, TS: s.View.TS - 1, What: "down passed"}}
		}, "◼ operation inhibited  judge ✓ down passed"},
		{"an old verdict", func(s *view.Scene) {
			s.Events = []sim.Event{{Kind: sim.KindJudge, TS: s.View.TS - 3, What: "failed: moved"}}
		}, "◼ operation inhibited"},
		{"an ask", func(s *view.Scene) { s.Events = []sim.Event{{Kind: sim.KindJudge, TS: s.View.TS, What: "asked: down"}} }, "◼ operation inhibited"},
		{"one that is still to come", func(s *view.Scene) {
			s.Events = []sim.Event{{Kind: sim.KindJudge, TS: s.View.TS + 1, What: "failed: moved"}}
		}, "◼ operation inhibited"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, _ := scene(t, "healthy-down-and-up", never)
			s.View.Out, s.View.Obligations, s.Events = sequence.Outputs{Operation: sequence.OperationInhibited}, nil, nil
			s.View.Judge.Withheld = false
			c.change(s)
			assert.Equal(t, c.want, text(view.Status, 80, 1, s))
		})
	}
}

// A fault without effect does not act, and those that act are named, also to who follows the bench and
// cannot look for them. With the truth hidden nothing is said.
func TestFaultsThatAct(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down-and-up", entered("travel", 0.5))
	s.View.Faults = []sim.FaultView{
		{What: "brake.condition = 0.5", Active: true, Idle: true},
		{What: "brake.condition = 0.3", Active: true},
		{What: "encoder.frozen = true", DueS: math.NaN()},
	}
	for _, size := range [][2]int{{200, 60}, {120, 40}, {80, 24}} {
		p := page.New(size[0], size[1], false)
		s.Truth = true
		view.Bench(p.Area(), s)
		assert.Contains(t, p.Text(), "▲ 1 fault acts, 1 without effect", size)
		assert.Regexp(t, `(?m)^◼ operation inhibited +▲ brake\.condition = 0\.3$`, p.Text(), size)
		p = page.New(size[0], size[1], false)
		s.Truth = false
		view.Bench(p.Area(), s)
		assert.NotContains(t, p.Text(), "▲", size)
	}
	s.Truth = true
	s.View.Faults[1].Idle = true
	assert.Contains(t, text(view.Header, 120, 2, s), "▲ 2 faults without effect")
	s.View.Faults[0].Active = false
	assert.Contains(t, text(view.Header, 120, 2, s), "▲ 1 fault without effect")
	s.View.Faults[0].Active, s.View.Faults[1].Idle = true, false
	p := page.New(60, 3, false)
	view.FaultList(p.Area(), s)
	assert.Equal(t, "▲ without effect   brake.condition = 0.5\n▲ active           brake.condition = 0.3\n▲ pending          encoder.frozen = true", strings.TrimSpace(p.Text()))
}

// The bench says that others see it.
func TestServed(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down-and-up", entered("travel", 0.5))
	for _, size := range [][2]int{{200, 60}, {120, 40}, {80, 24}} {
		draw := func(draw func(page.Area)) string {
			p := page.New(size[0], size[1], false)
			draw(p.Area())
			return p.Text()
		}
		small := func(a page.Area) { view.Bench(a, s) }
		large := func(a page.Area) { view.Large(a, s, view.LargeState) }
		s.Served = ""
		assert.NotContains(t, draw(small)+draw(large), "served")
		s.Served = "127.0.0.1:4100"
		assert.Regexp(t, "served on (127.0.0.1:|port )4100", draw(small))
		assert.Contains(t, draw(large), "served")
		assert.NotContains(t, draw(small)+draw(large), "truth served")
		s.ServedTruth = true
		assert.Contains(t, draw(small), "truth served on")
		assert.Contains(t, draw(large), "truth served")
		s.ServedTruth = false
	}
}

// An alarm is whole on the lowest screens, where it has the row of the timeline as well.
func TestAlarmIsWhole(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down-and-up", entered("travel", 0.5))
	s.View.Out.Alarm = "brake test failed - axis locked out, do not switch the drive off"
	for _, size := range [][2]int{{20, 7}, {20, 8}, {30, 6}, {80, 9}} {
		p := page.New(size[0], size[1], false)
		view.Bench(p.Area(), s)
		assert.Contains(t, strings.Join(strings.Fields(p.Text()), " "), "⚠ "+s.View.Out.Alarm, size)
	}
}
