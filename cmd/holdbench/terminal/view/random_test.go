package view_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/safety"
)

// odd draws figures that a run should never show and a broken one may.
func odd(t *rapid.T, name string) float64 {
	return rapid.OneOf(
		rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, 1e-300}),
		rapid.Float64Range(-1e4, 1e4),
	).Draw(t, name)
}

// Whatever a scene holds, it can be drawn, and the screen keeps its size.
func TestAnyScene(t *testing.T) {
	t.Parallel()
	whole, _ := scene(t, "lining-worn-thin", never)
	rapid.Check(t, func(t *rapid.T) {
		s := *whole
		look := *whole.View
		s.View = &look
		drawLook(t, &look)
		s.HeadS, s.Speed, s.SpanS = odd(t, "head"), odd(t, "speed"), odd(t, "span")
		s.Truth, s.AtHead, s.Busy = rapid.Bool().Draw(t, "truth"), rapid.Bool().Draw(t, "at head"), rapid.Bool().Draw(t, "busy")
		s.Tab = view.Tab(rapid.IntRange(-1, 6).Draw(t, "tab"))
		s.Notice = rapid.String().Draw(t, "notice")
		s.Samples = slices.Clone(s.Samples[:rapid.IntRange(0, 30).Draw(t, "samples")])
		for i := range s.Samples {
			x := &s.Samples[i]
			x.MotorNM, x.BrakeNM, x.PositionMM = float32(odd(t, "nm")), float32(odd(t, "nm")), float32(odd(t, "mm"))
			x.State = rapid.IntRange(-1, 100).Draw(t, "state")
		}
		s.Earlier = s.Samples
		if rapid.Bool().Draw(t, "compared") {
			s.Compared = &view.Compared{
				Pending: rapid.Bool().Draw(t, "pending"),
				Name:    rapid.String().Draw(t, "name"), BS: odd(t, "b"), FirstS: odd(t, "first"), First: rapid.String().Draw(t, "what"),
				Parted: rapid.Bool().Draw(t, "parted"), PathB: []string{"one", "other"}, Offset: rapid.IntRange(-9, 99).Draw(t, "offset"),
				Values: []view.ComparedValue{{Name: rapid.String().Draw(t, "signal"), A: "1", B: "2", Apart: "+1", Differs: true}, {Name: "state", A: "on", B: "off"}},
			}
		}
		w, h := rapid.IntRange(0, 210).Draw(t, "w"), rapid.IntRange(0, 70).Draw(t, "h")
		p := page.New(w, h, rapid.Bool().Draw(t, "ascii"))
		view.Bench(p.Area(), &s)
		view.HitsOf(w, h, &s).TimeAt(rapid.IntRange(-1, 210).Draw(t, "x"), rapid.IntRange(-1, 70).Draw(t, "y"))
		require.Len(t, strings.Split(p.Text(), "\n"), max(h, 1))
	})
}

func drawLook(t *rapid.T, l *sim.View) {
	l.TS, l.InStateS, l.State = odd(t, "ts"), odd(t, "in state"), rapid.IntRange(-1, 100).Draw(t, "state")
	l.In = sequence.Inputs{PositionMM: odd(t, "mm"), PositionDeg: odd(t, "deg"), Speed: odd(t, "speed"), TorqueNM: odd(t, "nm")}
	l.Out = sequence.Outputs{Drive: sequence.DriveMode(rapid.IntRange(0, 9).Draw(t, "drive")), PressTorqueNM: odd(t, "press")}
	l.LoadMM, l.StaticCapacityNM, l.RequiredTestNM = odd(t, "load"), odd(t, "capacity"), odd(t, "required")
	l.Truth = plant.State{
		BrakeState:    plant.BrakeState{Engagement: odd(t, "engagement"), BrakeTorqueNM: odd(t, "brake"), CapacityNM: odd(t, "now")},
		MotorTorqueNM: odd(t, "motor"),
	}
	l.Judge = sim.JudgeView{
		CheckState: safety.CheckState{
			Latched: rapid.Bool().Draw(t, "latched"), MovedInc: rapid.Int64().Draw(t, "away"),
			WindowInc: odd(t, "window"), IncDeg: odd(t, "inc"), Required: odd(t, "required"), Measured: odd(t, "current"),
			DwellElapsed: time.Duration(rapid.Int64().Draw(t, "stood")),
		},
		Stop: rapid.SampledFrom([]string{"", "SS1", "STO"}).Draw(t, "stop"),
	}
	l.Faults = []sim.FaultView{{What: rapid.String().Draw(t, "what"), DueS: odd(t, "due"), Active: rapid.Bool().Draw(t, "on")}}
}
