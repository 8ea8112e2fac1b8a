package sizing

import (
	"math"
	"slices"
	"time"

	"holdbench/plant/portable"
)

// thermalFigures are the thermal loads of motor and drive in repeated tests, as shares of the
// permitted one.
type thermalFigures struct {
	constant          float64 // s
	holding, down, up float64 // final values of holding and of the presses, (i/i_c)²
	downS, upS        float64 // s, durations of the presses; 0 for a direction that is not tested
	single, repeated  float64 // peak of one test and of the tests in a row
	pauseS            float64 // between tests of which any number is permitted; infinite if none is
}

// findThermal works out the tests in a row on the thermal node of the drive,
// dϑ/dt = ((i/i_c)² − ϑ)/τ: a constant current brings ϑ towards (i/i_c)² with e^(−t/τ). The
// press takes its full current from the beginning of the ramp, which is on the safe side;
// otherwise the current holds the load. Source: as of the node, see package plant.
func (f *figures) findThermal() {
	h, d, k := &f.thermal, f.rig.Drive, f.rig.Motor.TorqueConstant
	if d.ContinuousCurrentRMSA == 0 {
		return
	}
	share := func(nm float64) float64 { return nm * nm / (k * k * d.ContinuousCurrentRMSA * d.ContinuousCurrentRMSA) }
	dwell := (f.times.answer + f.window.dwell).Seconds()
	h.constant = d.ThermalTime.Seconds()
	h.holding, h.down, h.up = share(f.load.positionMaximum), share(f.press.down), share(f.press.up)
	if f.down {
		h.downS = f.times.rampDown.Seconds() + dwell
	}
	if f.up {
		h.upS = f.times.rampUp.Seconds() + dwell
	}
	h.single = h.peak(1, 0)
	h.repeated = h.peak(f.w.Tests, f.w.TestPause.Seconds())
	h.pauseS = h.pause()
}

// peak is the maximum thermal load of n tests with a pause in s between them, from holding.
func (h *thermalFigures) peak(n int, pause float64) float64 {
	load, highest := h.holding, h.holding
	for i := range n {
		if i > 0 {
			load = h.after(load, h.holding, pause)
		}
		load = h.after(load, h.down, h.downS)
		highest = max(highest, load)
		load = h.after(load, h.up, h.upS)
		highest = max(highest, load)
	}
	return highest
}

// after is the thermal load after a time in s towards a final value.
func (h *thermalFigures) after(load, final, seconds float64) float64 {
	return final + float64((load-final)*portable.Exp(-seconds/h.constant))
}

// pause is the shortest pause in s, in steps of a tenth, with which the tests can go on without
// end: 500 of them do not exceed the permitted load.
func (h *thermalFigures) pause() float64 {
	const endless, longest = 500, 1e5
	if h.peak(endless, longest) > 1 {
		return math.Inf(1)
	}
	low, high := 0.0, longest
	for high-low > 0.01 {
		if middle := (low + high) / 2; h.peak(endless, middle) > 1 {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Ceil(float64(high*10)-0.2) / 10
}

// thermalLines are the thermal load of repeated tests; none for a drive without a continuous
// current.
func (f *figures) thermalLines() []Line {
	h, w := &f.thermal, &f.w
	if h.constant == 0 {
		return nil
	}
	const permitted = "the permitted thermal load; above it the drive limits the current to the continuous current"
	node := "thermal node, dϑ/dt = ((i/i_c)² − ϑ)/τ"
	inputs := []Input{{"i_c", f.rig.Drive.ContinuousCurrentRMSA, "A rms"}, {"τ", h.constant, inSeconds}}
	press := append(slices.Clone(inputs), Input{"press up", h.up, ""}, Input{"for", h.upS, inSeconds}, Input{"press down", h.down, ""}, Input{"for", h.downS, inSeconds})
	lines := []Line{
		Line{
			ID: "thermal_holding", Name: "thermal load, holding", Value: h.holding, Formula: "(maximum load torque / (k i_c))²", Inputs: inputs, Source: node,
		}.atMost(1, permitted, thinTorque),
		Line{
			ID: "thermal_test", Name: "thermal load, one test", Value: h.single, Formula: "peak of one test, from holding: each press with its full current during ramp, answer and dwell", Inputs: press, Source: node,
		}.atMost(1, permitted, thinTorque),
		Line{
			ID: "thermal_repeated", Name: "thermal load, repeated tests", Value: h.repeated, Formula: "peak of the tests in a row, holding the load between them",
			Inputs: []Input{{"tests", float64(w.Tests), ""}, {"pause", w.TestPause.Seconds(), inSeconds}}, Source: w.source("tests", w.source("test-pause", choice)),
		}.warnIf(h.repeated > 1, "%.4g of the permitted thermal load: fewer tests in a row or a longer pause, or the drive limits the current to the continuous current", h.repeated),
	}
	if math.IsInf(h.pauseS, 1) {
		return lines
	}
	return append(lines, seconds("test_pause_s", "pause for any number of tests", inTime(h.pauseS), "shortest pause between the presses of two tests for which the peak of 500 tests stays within the permitted load", node))
}

// defaultTestPause is the time between the presses of two tests that follow each other directly:
// transfer of the load, opening, travel, settling and closing (a choice).
const defaultTestPause = 5 * time.Second
