package sizing

import (
	"math"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
)

// travel is the load torque at positions over the whole travel.
func (f *figures) travel() []Position {
	const steps = 60
	low, high := f.rig.Stops.LowMM, f.rig.Stops.HighMM
	places := make([]Position, steps+1)
	for i := range places {
		mm := low + (high-low)*float64(i)/steps
		places[i] = Position{mm, f.armDeg(mm), loadTorque(&f.leastRig, mm), loadTorque(&f.nominalRig, mm), loadTorque(&f.mostRig, mm)}
	}
	return places
}

// settings are the values for rig, judge and sequence. A sufficient present value is kept.
func (f *figures) settings() []Setting {
	var list []Setting
	add := func(key, value, unit string) {
		list = append(list, Setting{key, value, f.presentText(key), unit})
	}
	if f.w.Factor != f.rig.Test.Factor {
		add("rig.test.factor", number(f.w.Factor), "")
	}
	add("judge.dwell", durationText(f.window.dwell), "")
	add("judge.deadline", durationText(max(f.times.deadline, f.rig.Judge.Deadline)), "")
	add("judge.window_deg", f.windowText(), "deg")
	if f.times.run > f.rig.Clock.RunLimit {
		add("rig.clock.run_limit", durationText(f.times.run), "")
	}
	add("judge.interval", durationText(f.w.Interval), "")
	add("judge.ceiling_nm", digits(f.ceiling.value, 4), "N·m")
	if f.rig.Judge.Sense != plant.SenseSigned {
		add("judge.sense", plant.SenseSigned, "")
	}
	for _, p := range f.paramValues() {
		if _, ok := f.params[p.name]; ok {
			add("sequence."+p.name, p.value, p.unit)
		}
	}
	return list
}

type paramValue struct{ name, value, unit string }

// paramValues are the values of the sequence; requirements are rounded away from zero.
func (f *figures) paramValues() []paramValue {
	l, p := &f.load, &f.press
	list := []paramValue{
		{"test_position_mm", digits(l.positionMM, 6), "mm"},
		{"load_torque_nm", digits(l.nominal, 4), "N·m"},
		{"test_torque_nm", awayFromZero(l.test, 4), "N·m"},
		{"torque_constant_nm_per_rms_a", number(f.rig.Motor.TorqueConstant), "N·m/A"},
		{"required_down_nm", awayFromZero(-p.requiredDown, 4), "N·m"},
		{"required_up_nm", awayFromZero(p.requiredUp, 4), "N·m"},
		{"press_margin", number(f.w.PressMargin), ""},
		{"press_rate_nm_s", number(f.w.PressRateNMS), "N·m/s"},
		{"press_limit_nm", digits(f.ceiling.limit, 5), "N·m"},
		{"load_tolerance_nm", awayFromZero(f.loadTolerance(), 3), "N·m"},
		{"suspect_slip_mm", digits(f.millimetres(f.window.value), 3), "mm"},
		{"interval_s", number(f.w.Interval.Seconds()), "s"},
	}
	for _, v := range f.minimumValues() {
		if f.params.or(v.name, math.Inf(1)) < v.value {
			list = append(list, paramValue{v.name, awayFromZero(v.value, 3), v.unit})
		}
	}
	return list
}

// missing are the parameters that would be set but do not exist in the sequence.
func (f *figures) missing() []string {
	names := []string{}
	for _, p := range f.paramValues() {
		if _, ok := f.params[p.name]; !ok {
			names = append(names, p.name)
		}
	}
	return names
}

type minimumValue struct {
	name  string
	value float64
	unit  string
}

// minimumValues are values that are set only where the present one is too small.
func (f *figures) minimumValues() []minimumValue {
	t := &f.times
	pause := max(t.askGap.Seconds(), t.fresh.Seconds()+f.scan().Seconds(), f.params.or("signal_slack_s", 0)+f.rig.Clock.FunctionalScan.Seconds())
	return []minimumValue{
		{"travel_torque_nm", f.travelTorque(), "N·m"},
		{"press_time_s", t.press.Seconds(), "s"},
		{"answer_time_s", (t.answer + t.margin).Seconds(), "s"},
		{"verdict_time_s", t.verdict.Seconds(), "s"},
		{"travel_time_s", t.travel.Seconds(), "s"},
		{"signal_slack_s", t.fresh.Seconds(), "s"},
		{"ask_gap_s", pause, "s"},
	}
}

// loadTolerance is the permitted deviation of the measured torque that holds the load: friction
// of the guide, range of loads, and the tolerances of the measurement; the factor of 1.25 is a
// choice.
func (f *figures) loadTolerance() float64 {
	l := &f.load
	deviation := l.breakaway + max(l.positionMaximum-l.nominal, l.nominal-l.positionMinimum)
	return max(0.15*math.Abs(l.nominal), 1.25*f.measuredDeviation(deviation))
}

// measuredDeviation is the maximum deviation of a measured torque from the nominal load torque
// for a deviation of the true one.
func (f *figures) measuredDeviation(deviation float64) float64 {
	t := f.press.tolerance
	return t*deviation + (t-1)*math.Abs(f.load.nominal)
}

// presentText is the present value of rig or sequence by its key, empty without one.
func (f *figures) presentText(key string) string {
	if name, ok := strings.CutPrefix(key, "sequence."); ok {
		if v, ok := f.params[name]; ok {
			return digits(v, 4)
		}
		return ""
	}
	field, ok := plant.FindKey(key)
	if !ok {
		return ""
	}
	text := field.Text(f.rig)
	if d, err := time.ParseDuration(text); err == nil && field.Unit == "s" {
		return durationText(d)
	}
	return text
}

// windowText is the window with the fewest digits that keep its whole increments.
func (f *figures) windowText() string {
	w := &f.window
	for n := 3; n < 12; n++ {
		text := digits(w.value, n)
		if x, err := strconv.ParseFloat(text, 64); err == nil && int(x/w.increment) == w.whole && x <= w.high {
			return text
		}
	}
	return number(w.value)
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// digits rounds to n significant digits.
func digits(x float64, n int) string {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', n, 64), 64)
	if err != nil {
		return number(x)
	}
	return strconv.FormatFloat(y, 'f', -1, 64)
}

// awayFromZero rounds away from zero to n significant digits.
func awayFromZero(x float64, n int) string {
	if x == 0 {
		return "0"
	}
	scale := math.Pow(10, float64(n-1)-math.Floor(math.Log10(math.Abs(x))))
	return digits(math.Copysign(math.Ceil(math.Abs(x)*scale-1e-9), x)/scale, n)
}

// durationText is a duration with a single unit where possible.
func durationText(d time.Duration) string {
	switch {
	case d%time.Hour == 0:
		return strconv.FormatInt(int64(d/time.Hour), 10) + "h"
	case d%time.Millisecond == 0 && d < time.Second:
		return strconv.FormatInt(d.Milliseconds(), 10) + "ms"
	}
	return number(d.Seconds()) + "s"
}
