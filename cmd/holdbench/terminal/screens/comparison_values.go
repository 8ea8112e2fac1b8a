package screens

import (
	"fmt"
	"math"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim/compare"
	"holdbench/sim/history"
)

// compared adds run B to what is shown.
func (b *Bench) compared(s *view.Scene) {
	o := b.other
	if o == nil {
		return
	}
	s.Earlier, s.EarlierBlocks = o.samples, o.blocks
	c := &view.Compared{Name: o.name, Aligned: "at " + alignedText(o.by), BS: s.View.TS + o.shiftS, FirstS: math.NaN()}
	c.Pending = !o.complete(b.player.Shown())
	c.Outside = c.BS < 0 || c.BS > o.run.EndS()+s.Case.Rig.Clock.FunctionalScan.Seconds() // of its last scan
	if !c.Outside {
		c.Values = valuesOf(o.run.Beside(s.View, nameOfState(s.Case, s.View.State), c.BS), s.Truth)
	}
	if first := b.firstDifference(); first != nil {
		c.FirstS = first.AtAS
		c.First = fmt.Sprintf("%.3f s in %s: %s", first.AtAS, first.StateA, firstText(first))
	}
	if o.result != nil && o.of == b.player.Shown().Run {
		p := &o.result.Path
		c.Common, c.PathB = len(p.Common), p.OnlyB
		for i := range p.Joined {
			c.PathB = append(c.PathB[:len(c.PathB):len(c.PathB)], p.Joined[i].State)
		}
		c.Parted = len(p.OnlyA) > 0 || !c.Pending && b.player.Shown().Over && !p.Same()
	}
	if last := c.Common - 1; last >= 0 {
		c.After = o.result.Path.Common[last].State
	}
	c.Offset = o.offset
	s.Compared = c
}

// valuesScrolled is how many values a key scrolls over: as many as the lowest screen shows, so that none is missed.
const valuesScrolled = 3

func scrollValues(by int) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		if o := b.other; o != nil {
			o.offset = max(0, min(o.offset+by*valuesScrolled, len(o.run.Beside(b.player.Shown().View, "", o.run.EndS()))-1))
			b.show.tab = view.ComparedTab
			return nil
		}
		b.say(chooseOther, false)
		return nil
	}
}

// samplesOf are the samples of a run for curves, earlier by a shift.
func samplesOf(r *compare.Run, shiftS float64) []history.Sample {
	times, position := r.Curve("position_mm")
	list := make([]history.Sample, len(times))
	curve := func(name string) []float64 {
		_, values := r.Curve(name)
		return values
	}
	load, torque, motor := curve("load_mm"), curve("torque_nm"), curve("torque_motor_nm")
	brake, capacity := curve("torque_brake_nm"), curve("capacity_nm")
	brake2, capacity2 := curve("torque_brake_2_nm"), curve("capacity_2_nm")
	if !r.Case.Rig.Brake2.Exists() { // as in a run of the bench
		brake2, capacity2 = make([]float64, len(times)), make([]float64, len(times))
	}
	for i, t := range times {
		list[i] = history.Sample{
			TS: t - shiftS, PositionMM: float32(position[i]), LoadMM: float32(load[i]),
			CommandedNM: float32(math.NaN()), TorqueNM: float32(torque[i]), MotorNM: float32(motor[i]),
			BrakeNM: float32(brake[i]), CapacityNM: float32(capacity[i]),
			Brake2NM: float32(brake2[i]), Capacity2NM: float32(capacity2[i]),
		}
	}
	return list
}

// valuesOf are the values for the screen, those first that say most; the truth only if it is shown.
func valuesOf(pairs []compare.Pair, truth bool) []view.ComparedValue {
	var first, rest []view.ComparedValue
	for _, p := range pairs {
		if p.Truth && !truth {
			continue
		}
		v := view.ComparedValue{Name: compare.SignalName(p.Signal), A: orNone(p.A), B: orNone(p.B), Differs: p.Differs, Truth: p.Truth}
		if a, b, apart, ok := compare.Figures(p.A, p.B, p.Differs); ok {
			v.A, v.B, v.Apart = a, b, apart
		}
		if leads(p.Signal) {
			first = append(first, v)
		} else {
			rest = append(rest, v)
		}
	}
	return append(first, rest...)
}

// leads is whether a signal stands ahead of the others.
func leads(signal string) bool {
	switch signal {
	case "state", "position_mm", "speed", "torque_nm", "load_mm", "torque_motor_nm", "torque_brake_nm", "capacity_nm", "slip_deg",
		"torque_brake_2_nm", "capacity_2_nm", "brake_2_slip_deg":
		return true
	}
	return false
}
