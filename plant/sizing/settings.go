package sizing

import (
	"math"
	"strconv"
	"time"

	"holdbench/plant"
	"holdbench/plant/portable"
)

// travelSteps is the number of equal parts of the travel.
const travelSteps = 60

// places are positions in mm over the whole travel.
func (f *figures) places() []float64 {
	low, high := f.rig.Stops.LowMM, f.rig.Stops.HighMM
	places := make([]float64, travelSteps+1)
	for i := range places {
		places[i] = low + (high-low)*float64(i)/travelSteps
	}
	return places
}

// travel is the load torque at positions over the whole travel.
func (f *figures) travel() []Position {
	places := make([]Position, travelSteps+1)
	for i, mm := range f.places() {
		places[i] = Position{mm, f.armDeg(mm), loadTorque(&f.leastRig, mm), loadTorque(&f.nominalRig, mm), loadTorque(&f.mostRig, mm)}
	}
	return places
}

// settings are the values for rig, judge and sequence. A sufficient present value is kept.
func (f *figures) settings() []Setting {
	var list []Setting
	add := func(key, value, unit, origin string) {
		list = append(list, Setting{key, value, f.presentText(key), unit, origin})
	}
	f.addJudge(add)
	if f.w.Factor != f.rig.Test.Factor {
		add("rig.test.factor", number(f.w.Factor), "", f.w.source("factor", ""))
	}
	add("judge.dwell", durationText(f.window.dwell), "", f.dwellOrigin())
	deadline, kept := f.times.deadline, ""
	if f.rig.Judge.Deadline >= deadline {
		deadline, kept = f.rig.Judge.Deadline, keptAsSufficient
	}
	add("judge.deadline", durationText(deadline), "", kept)
	add("judge.window_deg", f.windowText(), "deg", "")
	if f.times.run > f.rig.Clock.RunLimit {
		add("rig.clock.run_limit", durationText(f.times.run), "", "")
	}
	add("judge.interval", durationText(f.w.Interval), "", f.w.source("interval", keptChoice))
	add("judge.ceiling_nm", digits(f.ceiling.value, 4), "N·m", "")
	if f.rig.Judge.Sense != plant.SenseSigned {
		add("judge.sense", plant.SenseSigned, "", "")
	}
	for _, v := range f.paramValues() {
		if p, ok := f.params[v.role]; ok {
			add(p.key(), v.value, v.unit, f.originOf(v.role))
		}
	}
	return list
}

// addJudge adds the directions that the sequence tests, where the judge requires others, and the required
// torque of a judge that owns it; one that compares a current, and has these values all the same, keeps
// them fitting.
func (f *figures) addJudge(add func(key, value, unit, origin string)) {
	j := &f.rig.Judge
	if tested := f.testedDirections(); tested != j.Directions {
		add("judge.directions", tested, "", "those that the sequence tests")
	}
	owns := j.Kind == plant.JudgeTorque
	if f.down && (owns || j.RequiredDownNM != 0) {
		add("judge.required_down_nm", awayFromZero(-f.press.requiredDown, 4), "N·m", "")
	}
	if f.up && (owns || j.RequiredUpNM != 0) {
		add("judge.required_up_nm", awayFromZero(f.press.requiredUp, 4), "N·m", "")
	}
}

// testedDirections is the word for the directions that the sequence tests.
func (f *figures) testedDirections() string {
	switch {
	case !f.up:
		return plant.DirectionsDown
	case !f.down:
		return plant.DirectionsUp
	}
	return plant.DirectionsBoth
}

// What a value says that was not worked out.
const (
	keptChoice       = "kept: a choice"
	keptAsSufficient = "kept: sufficient"
	ofTheMotor       = "the rig's motor"
)

// dwellOrigin is empty for a dwell that a creep determines.
func (f *figures) dwellOrigin() string {
	if f.w.CreepMMS > 0 {
		return ""
	}
	return f.w.source("dwell", keptChoice)
}

// originOf is the origin of the value of a role, empty for one that was worked out.
func (f *figures) originOf(role string) string {
	switch role {
	case "test_position":
		own, ok := f.params[role]
		if kept := ok && own.Value == f.load.positionMM; kept && math.IsNaN(f.w.TestPositionMM) && own.Value != f.load.bestMM {
			return keptChoice
		}
		return f.w.source("test-position-mm", "")
	case "torque_constant":
		return ofTheMotor
	case "press_margin":
		return f.w.source("press-margin", keptChoice)
	case "press_rate":
		return f.w.source("press-rate-nm-s", keptChoice)
	case "interval":
		return f.w.source("interval", keptChoice)
	}
	return ""
}

type paramValue struct{ role, value, unit string }

// paramValues are the values of the sequence; requirements are rounded away from zero.
func (f *figures) paramValues() []paramValue {
	l, p := &f.load, &f.press
	list := []paramValue{
		{"test_position", digits(l.positionMM, 6), "mm"},
		{"load_torque", digits(l.nominal, 4), "N·m"},
		{"test_torque", awayFromZero(l.test, 4), "N·m"},
		{"torque_constant", number(f.rig.Motor.TorqueConstant), "N·m/A"},
	}
	if f.followsAngle() {
		list = append(list, paramValue{"test_angle", digits(f.armDeg(l.positionMM), 3), "deg"})
	}
	if f.down {
		list = append(list, f.requirement("required_down", -p.requiredDown))
	}
	if f.up {
		list = append(list, f.requirement("required_up", p.requiredUp))
	}
	list = append(append(list, f.pressValues()...), []paramValue{
		{"press_rate", number(f.w.PressRateNMS), "N·m/s"},
		{"press_limit", digits(f.ceiling.limit, 5), "N·m"},
		{"load_tolerance", awayFromZero(f.loadTolerance(), 3), "N·m"},
		{"suspect_slip", digits(f.millimetres(f.window.value), 3), "mm"},
	}...)
	if _, own := f.params["interval"]; own { // a sequence that compares the proof with the one before needs none
		list = append(list, paramValue{"interval", number(f.w.Interval.Seconds()), "s"})
	}
	for _, v := range f.minimumValues() {
		if f.params.or(v.role, math.Inf(1)) < v.value {
			list = append(list, paramValue{v.role, awayFromZero(v.value, 3), v.unit})
		}
	}
	return list
}

// pressValues are the press margin, or the press torques where the sequence has parameters of
// that role and none for the margin.
func (f *figures) pressValues() []paramValue {
	_, margin := f.params["press_margin"]
	_, down := f.params["press_down"]
	_, up := f.params["press_up"]
	if margin || !down && !up {
		return []paramValue{{"press_margin", number(f.w.PressMargin), ""}}
	}
	var list []paramValue
	if down && f.down {
		list = append(list, paramValue{"press_down", awayFromZero(-f.press.down, 4), "N·m"})
	}
	if up && f.up {
		list = append(list, paramValue{"press_up", awayFromZero(f.press.up, 4), "N·m"})
	}
	return list
}

// requirement is a required torque, or the current for it where the sequence has a parameter
// of that role alone.
func (f *figures) requirement(role string, nm float64) paramValue {
	_, torque := f.params[role]
	if _, current := f.params[role+"_current"]; current && !torque {
		return paramValue{role + "_current", awayFromZero(math.Sqrt2*nm/f.rig.Motor.TorqueConstant, 4), "A"}
	}
	return paramValue{role, awayFromZero(nm, 4), "N·m"}
}

// missing are the roles whose values would be set, and that no parameter of the sequence has.
func (f *figures) missing() []string {
	roles := []string{}
	for _, v := range f.paramValues() {
		if _, ok := f.params[v.role]; !ok {
			roles = append(roles, v.role)
		}
	}
	return roles
}

type minimumValue struct {
	role  string
	value float64
	unit  string
}

// minimumValues are values that are set only where the present one is too small.
func (f *figures) minimumValues() []minimumValue {
	t := &f.times
	pause := max(t.askGap.Seconds(), t.fresh.Seconds()+f.scan().Seconds(), f.params.or("signal_slack", 0)+f.rig.Clock.FunctionalScan.Seconds())
	return []minimumValue{
		{"travel_torque", f.travelTorque(), "N·m"},
		{"press_time", t.press.Seconds(), "s"},
		{"answer_time", (t.answer + t.margin).Seconds(), "s"},
		{"verdict_time", t.verdict.Seconds(), "s"},
		{"travel_time", t.travel.Seconds(), "s"},
		{"signal_slack", t.fresh.Seconds(), "s"},
		{"ask_gap", pause, "s"},
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
	return float64(t*deviation) + float64((t-1)*math.Abs(f.load.nominal))
}

// presentText is the present value of rig or sequence by its key, empty without one.
func (f *figures) presentText(key string) string {
	for _, p := range f.params {
		if p.key() == key {
			return digits(p.Value, 4)
		}
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
	scale := portable.Pow(10, float64(n-1)-math.Floor(portable.Log10(math.Abs(x))))
	return digits(math.Copysign(math.Ceil(float64(math.Abs(x)*scale)-1e-9), x)/scale, n)
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
