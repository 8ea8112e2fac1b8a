package identify

import (
	"context"
	"errors"
	"fmt"
	"math"

	"holdbench/plant"
	"holdbench/plant/identify/leastsquares"
	"holdbench/plant/recording"
)

// Standing is how well a value is known.
type Standing string

// The standings of a value.
const (
	Fitted  Standing = "fitted"
	AtLeast Standing = "at least" // it is not below; the recordings tell no more
	AtMost  Standing = "at most"
	Weighed Standing = "weighed" // given, and not found
	NotTold Standing = "not told"
)

// Value is one result: a value of the rig, or a quantity that follows from several of them.
type Value struct {
	Path     string   // of the value in the rig's document; empty for a quantity that is none
	Name     string   // for people
	Unit     string   // of a duration s
	Standing Standing // what follows holds unless it is not told
	Value    float64
	Error    float64 // standard error
	Low      float64 // ends of the 95 % interval
	High     float64
	Was      float64 // of the rig
	Source   string  // from what it was found
	By       string  // manoeuvre that would tell it, or tell it better
}

// Options of an identification.
type Options struct {
	Pieces map[string][]Piece // by the name of a recording, in place of those that are found
	MassKG float64            // weighed moving mass that hangs on the axis in the first recording; 0 if it is not known
}

// Result is what recordings tell of an axis.
type Result struct {
	Rig       *plant.Rig // as given
	Values    []Value
	Pieces    []Pieces // of each recording
	Closed    []Closed // closed forms, of each load
	Parts     []Part   // of the fit
	Condition float64  // of the scaled information matrix
	Related   []Related
	Ratio     *Ratio // nil without travel up and down
	Warnings  []string
}

// Part is one group of rows of the fit with its residuals.
type Part struct {
	Name          string
	Rows          int
	Factor        float64 // residuals over the noise at standstill; 1 for a right model and an equal noise
	Determination float64 // coefficient of determination, 1 − Σe²/Σ(y − ȳ)²
	Whiteness     float64 // probability of residuals that hang together like this or more, if the model is right
	Time          []float64
	Residuals     []float64 // observed less predicted, over their standard deviation
}

// Related are two values whose errors depend on each other.
type Related struct {
	A, B        string
	Correlation float64
}

// Ratio is the load torque over the current that holds it. In it the torque constant and the gain of the
// transducer cancel: whatever they are, a current that the same transducer reads stands for that torque.
type Ratio struct {
	HoldingRMSA  float64 // current that carries the load without friction
	LoadTorqueNM float64
	NMPerRMSA    float64
	Weighed      bool // the torque is that of a weighed mass, and the ratio does not depend on the rig's torque constant
}

// Identify finds the values of a rig from recordings of its axis. The rig gives the structure, the values that
// no recording tells, and the first values of those that depend on each other.
func Identify(ctx context.Context, recordings []*recording.Recording, r *plant.Rig, o Options) (*Result, error) {
	if len(recordings) == 0 {
		return nil, errors.New("no recording is given; must be at least one")
	}
	result := &Result{Rig: r}
	var tracks []track
	var pieces [][]Piece
	for _, rec := range recordings {
		k, err := newTrack(rec, r)
		if err != nil {
			return nil, err
		}
		own, given := o.Pieces[rec.Source]
		if !given {
			own = find(&k)
		}
		tracks, pieces = append(tracks, k), append(pieces, own)
		result.Pieces = append(result.Pieces, Pieces{rec.Source, own})
	}
	g := gather(tracks, pieces, r, o.MassKG)
	m := g.model()
	result.Closed = g.closed
	if len(m.windows)+len(m.presses)+len(m.stops) == 0 {
		return nil, fmt.Errorf("no piece of %s tells anything of the rig; must have travel, a press or a stop by brake", tracks[0].name)
	}
	f, err := m.solve(ctx)
	if err != nil {
		return nil, fmt.Errorf("cannot fit the values of the rig: %w", err)
	}
	result.Values = append(f.values(g), noiseValues(&m.noise, r)...)
	result.Parts, result.Related, result.Condition = f.parts(), f.related(), f.result.Condition
	result.Ratio = f.ratio(g)
	result.warn(f, g)
	return result, nil
}

// ofNames are the names of the parts of the fit.
func (of part) String() string {
	return [parts]string{"motion", "press", "stop by brake", "times and assumptions"}[of]
}

func (f *fitted) parts() []Part {
	found := make([]Part, parts)
	predicted := make([]float64, len(f.m.rows))
	f.m.predict(predicted, f.p)
	var sum, squares, total [parts]float64
	for i, r := range f.m.rows {
		p := &found[r.part]
		e := r.observed - predicted[i]
		p.Time, p.Residuals = append(p.Time, r.t), append(p.Residuals, e/(r.sigma*f.factor[r.part]))
		sum[r.part] += r.observed
		squares[r.part] += e * e
		p.Rows++
	}
	for _, r := range f.m.rows {
		off := r.observed - sum[r.part]/float64(found[r.part].Rows)
		total[r.part] += off * off
	}
	var out []Part
	for of := range parts - 1 {
		if found[of].Rows > 0 {
			found[of].Name, found[of].Factor, found[of].Determination = of.String(), f.factor[of], 1-squares[of]/total[of]
			found[of].Whiteness = whiteness(found[of].Residuals)
			out = append(out, found[of])
		}
	}
	return out
}

// relatedFrom is the correlation from which two values are named.
const relatedFrom = 0.9

func (f *fitted) related() []Related {
	var found []Related
	shared := named + f.m.loads
	for i := range shared {
		for j := range i {
			if c := f.correlation(i, j); math.Abs(c) >= relatedFrom {
				found = append(found, Related{f.m.unknowns[j].name, f.m.unknowns[i].name, c})
			}
		}
	}
	return found
}

func (f *fitted) ratio(g *gathered) *Ratio {
	if g.closed[0].Pairs == 0 {
		return nil
	}
	mm := g.rig.Load.StartMM
	held := *g.rig
	held.Load.MassKG = f.x[named]
	torque := -plant.LoadTorque(&held, mm)
	return &Ratio{HoldingRMSA: torque / f.x[torqueConstant], LoadTorqueNM: torque, NMPerRMSA: f.x[torqueConstant], Weighed: g.massKG > 0}
}

// The choices of a warning. Noise in motion is larger than at rest: the drive answers the noise of its encoder.
const (
	largeFactor = 10   // of the residuals over the noise at standstill
	smallFactor = 1.5  // of the residuals over the noise, which coarse increments explain
	unlikely    = 1e-4 // probability
	leastLate   = 5e-4 // s, of a current that is recorded late
	lags        = 10   // of the test of whiteness, and at most a fifth of the residuals
)

// whiteness tests whether the residuals of a part are independent of those before them.
func whiteness(residuals []float64) float64 {
	test, err := leastsquares.LjungBox(residuals, min(lags, len(residuals)/5))
	if err != nil {
		return math.NaN()
	}
	return test.PValue
}

func (r *Result) warn(f *fitted, g *gathered) {
	const advice = "the model lacks something, or a piece is of another kind; the intervals are too narrow. Look at the pieces and at the plot of the residuals"
	for _, p := range r.Parts {
		switch {
		case p.Factor > largeFactor:
			r.Warnings = append(r.Warnings, fmt.Sprintf("the residuals of %s are %.3g times the noise at standstill: %s", p.Name, p.Factor, advice))
		case p.Whiteness < unlikely && p.Factor < smallFactor:
			r.Warnings = append(r.Warnings, fmt.Sprintf("the residuals of %s hang together (probability %.2g by chance), but are hardly larger than the noise: rounding of the position can do that. The intervals may be too narrow", p.Name, p.Whiteness))
		case p.Whiteness < unlikely:
			r.Warnings = append(r.Warnings, fmt.Sprintf("the residuals of %s hang together (probability %.2g by chance): %s", p.Name, p.Whiteness, advice))
		}
	}
	if v := f.late("", true); v.Standing == Fitted && (v.Low > leastLate || v.High < -leastLate) {
		first, second := "current", "position"
		if v.Value < 0 {
			first, second = second, first
		}
		r.Warnings = append(r.Warnings, fmt.Sprintf("the %s seems to be recorded %.3g ms later than the %s, which is accounted for in the motion and not in a stop; correct it with --late", first, 1000*math.Abs(v.Value), second))
	}
	if b := &g.rig.Brake2; b.Exists() && len(f.m.presses)+len(f.m.stops) > 0 {
		r.Warnings = append(r.Warnings, "the axis has two brakes: the values of the brake are those of all that are closed in the recording; record a press and a stop with one brake alone")
	}
	if f.m.unknowns[sliding].free && f.x[sliding] < 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("guide.sliding_nm comes out as %.3g N·m: the losses of the transmission in the rig exceed all friction that was found; transmission.efficiency of %.3g is too low", f.x[sliding], g.rig.Transmission.Efficiency))
	}
	for i := range g.tracks {
		if k := &g.tracks[i]; k.derived {
			r.Warnings = append(r.Warnings, k.name+" has no current: it is taken from torque_nm and the torque constant of the rig")
		} else if k.brakeSignal().empty() {
			r.Warnings = append(r.Warnings, k.name+" has neither the command nor the switch of the brake: whether it is closed follows from torque without movement")
		}
	}
}
