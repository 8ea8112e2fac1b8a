package evaluate

import (
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/sim/safety"
)

// Figures are what can be followed over the tests of an axis. A figure that the recording does not show is
// nil.
type Figures struct {
	Date    string `json:"date"` // of the test, as given or as the file has it; empty if it is not known
	Verdict string `json:"verdict"`
	Cause   string `json:"cause"`

	TorqueMarginDownNM  *float64 `json:"torque_margin_down_nm"`
	TorqueMarginUpNM    *float64 `json:"torque_margin_up_nm"`
	MovementDownDeg     *float64 `json:"movement_down_deg"`
	MovementUpDeg       *float64 `json:"movement_up_deg"`
	RequirementMetDownS *float64 `json:"requirement_met_down_s"`
	RequirementMetUpS   *float64 `json:"requirement_met_up_s"`
	WindUpDown          *float64 `json:"wind_up_down_deg_per_nm"`
	WindUpUp            *float64 `json:"wind_up_up_deg_per_nm"`
	ClosingS            *float64 `json:"closing_s"`
	OpeningS            *float64 `json:"opening_s"`
	StoppingMM          *float64 `json:"stopping_mm"`
	StoppingS           *float64 `json:"stopping_s"`
	StoppingFromMMS     *float64 `json:"stopping_from_mm_s"`
	StoppingBy          string   `json:"stopping_by"` // drive, brake, drive and brake; empty: not known
	HoldingBeforeRMSA   *float64 `json:"holding_before_rms_a"`
	HoldingAfterRMSA    *float64 `json:"holding_after_rms_a"`
	LoadDropMM          *float64 `json:"load_drop_mm"`
	PeakTorqueNM        *float64 `json:"peak_torque_nm"`
}

// Figure describes one of the figures.
type Figure struct {
	Name  string // as in JSON
	Title string // in words
	Unit  string
	Note  string
	Value func(f *Figures) *float64
}

// FigureList is the table of figures, in the order of outputs.
func FigureList() []Figure {
	return []Figure{
		{"torque_margin_down_nm", "torque margin, down", "N·m", "lowest motor torque in the full dwell of the press down, behind its ramp, beyond what is required; of a check that passed", func(f *Figures) *float64 { return f.TorqueMarginDownNM }},
		{"torque_margin_up_nm", "torque margin, up", "N·m", "the same of the press up", func(f *Figures) *float64 { return f.TorqueMarginUpNM }},
		{"movement_down_deg", "movement in the check, down", "deg", "largest movement of the motor shaft in the check down, from the moment on at which the requirement was met", func(f *Figures) *float64 { return f.MovementDownDeg }},
		{"movement_up_deg", "movement in the check, up", "deg", "the same of the check up", func(f *Figures) *float64 { return f.MovementUpDeg }},
		{"requirement_met_down_s", "requirement met for, down", "s", "longest time for which the requirement was met in the check down", func(f *Figures) *float64 { return f.RequirementMetDownS }},
		{"requirement_met_up_s", "requirement met for, up", "s", "the same of the check up", func(f *Figures) *float64 { return f.RequirementMetUpS }},
		{"wind_up_down_deg_per_nm", "wind-up, down", "deg/(N·m)", "turn of the motor shaft a newton metre in the press down", func(f *Figures) *float64 { return f.WindUpDown }},
		{"wind_up_up_deg_per_nm", "wind-up, up", "deg/(N·m)", "the same in the press up", func(f *Figures) *float64 { return f.WindUpUp }},
		{"closing_s", "closing time of the brake", "s", "from the command of the brake to its feedback, closing", func(f *Figures) *float64 { return f.ClosingS }},
		{"opening_s", "opening time of the brake", "s", "the same, opening", func(f *Figures) *float64 { return f.OpeningS }},
		{"stopping_mm", "stopping distance", "mm", "way of the load from the demand of a stop, or the command of the brake, to standstill", func(f *Figures) *float64 { return f.StoppingMM }},
		{"stopping_s", "stopping time", "s", "its time", func(f *Figures) *float64 { return f.StoppingS }},
		{"stopping_from_mm_s", "speed at the demand of the stop", "mm/s", "speed of the load at the demand of the stop", func(f *Figures) *float64 { return f.StoppingFromMMS }},
		{"holding_before_rms_a", "holding current before the test, rms", "A", "motor current that holds the load at rest before the brake closes, rms", func(f *Figures) *float64 { return f.HoldingBeforeRMSA }},
		{"holding_after_rms_a", "holding current after the test, rms", "A", "the same after the brake has opened again", func(f *Figures) *float64 { return f.HoldingAfterRMSA }},
		{"load_drop_mm", "load drop", "mm", "largest load drop by the measured position, at rest; without the command drive, with the brake closed", func(f *Figures) *float64 { return f.LoadDropMM }},
		{"peak_torque_nm", "largest motor torque", "N·m", "largest motor torque until the brake is open again", func(f *Figures) *float64 { return f.PeakTorqueNM }},
	}
}

// known is a value, nil if it is not one.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// slowestMS is the time in ms between two samples up to which the times of a brake and a stop, of some 50 ms and more, are
// figures of the axis and not of the recorder.
const slowestMS = 20

func (in *inputs) figures(e *Evaluation, scans []scan, w *watched) Figures {
	f := Figures{
		Date: e.Date, Verdict: e.Verdict, Cause: e.Cause,
		HoldingBeforeRMSA: known(w.holding.before / in.rig.Motor.TorqueConstant), HoldingAfterRMSA: known(w.holding.after / in.rig.Motor.TorqueConstant),
	}
	f.PeakTorqueNM = known(w.peakNM)
	if w.drop.watched {
		f.LoadDropMM = known(max(0, w.drop.largest))
	}
	if e.SampleMS <= slowestMS {
		f.StoppingMM, f.StoppingS, f.StoppingFromMMS = known(w.stop.newest.mm), known(w.stop.newest.s), known(w.stop.newest.fromMMS)
		f.StoppingBy = w.stop.newest.by
	}
	if e.SampleMS <= slowestMS && w.has.command && slices.ContainsFunc(in.list, func(i Input) bool { return i.From == "brake_closed" }) {
		f.ClosingS, f.OpeningS = known(w.closing.closed), known(w.closing.opened)
	}
	in.figuresOfChecks(e, scans, w.run, safety.FirstBrake, &f)
	return f
}

// figuresOfChecks are those of the newest checks of a brake.
func (in *inputs) figuresOfChecks(e *Evaluation, scans []scan, run *replay, brake safety.Brakes, f *Figures) {
	of := func(d safety.Directions, margin, moved, met, slope **float64) {
		place := run.newest(brake, d)
		if place < 0 {
			return
		}
		c := &e.Checks[place]
		*slope = known(in.windUp(scans, run.checks[place]))
		if c.Torque != nil {
			*margin = c.Torque.MarginNM
		}
		if c.Movement != nil {
			*moved, *met = &c.Movement.LargestDeg, &c.Time.MetS
		}
	}
	of(safety.Down, &f.TorqueMarginDownNM, &f.MovementDownDeg, &f.RequirementMetDownS, &f.WindUpDown)
	of(safety.Up, &f.TorqueMarginUpNM, &f.MovementUpDeg, &f.RequirementMetUpS, &f.WindUpUp)
}

// windUp is the slope of the angle over the motor torque while the press builds up against the closed brake,
// in deg/(N·m), by least squares:
//
//	dφ/dτ = Σ(τ − τ̄)(φ − φ̄) / Σ(τ − τ̄)²
//
// It goes back from the moment at which the requirement was met, for as long as the brake was closed and the
// torque was on its way, over the four fifths of the way that are nearer to the requirement: there no play of
// the brake is passed. NaN if there are too few scans, the requirement was never met, or the shaft moved out of
// the window, which is slip. Source: linear
// regression, any text on statistics.
func (in *inputs) windUp(scans []scan, c *check) float64 {
	const (
		leastScans = 5
		pressFrom  = 0.2 // of the way from the torque that carries the load
	)
	if math.IsNaN(c.latchedS) || c.cause == safety.CauseMoved {
		return math.NaN()
	}
	met := c.from
	for scans[met].t < c.latchedS-sameTime {
		met++
	}
	torque := func(i int) float64 { return scans[i].readings.CurrentAmpA * in.rig.Motor.TorqueConstant / math.Sqrt2 }
	target := torque(met)
	_, start := in.mm.first()
	load := in.loadNM(start)
	from := met
	for from > 0 && scans[from-1].closed() && scans[from-1].stale == "" && (torque(from-1)-load)/(target-load) >= pressFrom {
		from--
	}
	if met-from < leastScans {
		return math.NaN()
	}
	turn := in.rig.Encoder.IncrementsPerTurn
	var n, st, sp, stt, stp float64
	last, count := scans[from].readings.SingleTurn, 0.0
	for i := from; i <= met; i++ {
		count += float64(plant.TurnDifference(scans[i].readings.SingleTurn, last, int64(turn)))
		last = scans[i].readings.SingleTurn
		x, y := torque(i), count*360/turn
		n, st, sp, stt, stp = n+1, st+x, sp+y, stt+float64(x*x), stp+float64(x*y)
	}
	if spread := stt - st*st/n; spread > 0 {
		return (stp - st*sp/n) / spread
	}
	return math.NaN()
}
