package identify

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/plant/identify/leastsquares"
	"holdbench/plant/problem"
	"holdbench/plant/recording"
)

// Standing is how well a value is known.
type Standing string

// The standings of a value.
const (
	Fitted        Standing = "fitted"
	AtLeast       Standing = "at least" // it is not below; the recordings tell no more
	AtMost        Standing = "at most"
	Weighed       Standing = "weighed" // given by the mass that was weighed, and not found
	NotDetermined Standing = "not determined"
)

// Value is one result: a value of the rig, or a quantity that follows from several of them.
type Value struct {
	Path     string   // of the value in the rig's document; empty for a quantity that is none
	Name     string   // for people
	Unit     string   // of a duration s
	Standing Standing // what follows holds unless it is not determined
	Value    float64
	Error    float64 // standard error
	Low      float64 // ends of the 95 % interval
	High     float64
	Was      float64 // of the rig; of a quantity that is none, by the values of the rig; 0 if there is none
	Source   string  // from what it was found
	By       string  // manoeuvre that would tell it, or tell it better
	Note     string  // what its interval holds beside its standard error; empty for nothing
}

// Options of an identification.
type Options struct {
	Pieces map[string][]Piece // by the name of a recording, in place of those that are found
	MassKG float64            // weighed moving mass in the first recording, with the payload that is on it; 0 if it is not known
	// The recorder is that of the controller which commands the brake, so that a command is given at its first sample. A
	// trace of a run is such a recording.
	CommandsSampled bool
	AcceptDoubts    bool // a scale that is wrong by far is a warning
}

// Result is what recordings tell of an axis.
type Result struct {
	Rig       *plant.Rig // as given
	Values    []Value
	Pieces    []Pieces // of each recording
	Closed    []Closed // closed forms, of each load
	Parts     []Part   // of the fit
	Condition float64  // of the scaled information matrix; infinite if it is singular
	Singular  []string // names of fitted values that the rows do not tell at all
	Related   []Related
	Ratio     *Ratio // nil without travel up and down
	Warnings  []string
}

// Part is one group of rows of the fit with its residuals.
type Part struct {
	Name          string
	Rows          int
	Factor        float64 // residuals over the noise of the samples; about 1 for a right model
	Determination float64 // coefficient of determination, 1 − Σe²/Σ(y − ȳ)²
	Whiteness     float64 // probability of residuals that follow one another like this or more, if the model is right; 1 if they alternate
	Time          []float64
	Residuals     []float64 // observed less predicted, over their standard deviation
}

// Related are two fitted values whose errors depend on each other, the most dependent first.
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
	Measured     bool // the torque is by a torque transducer
	Weighed      bool // the torque is that of a weighed mass, and the ratio does not depend on the rig's torque constant
}

// Identify finds the values of a rig from recordings of its axis. The rig gives the structure, the values that
// no recording tells, and the first values of those that depend on each other. With an error that comes after the pieces
// were found, the result has the pieces.
func Identify(ctx context.Context, recordings []*recording.Recording, r *plant.Rig, o Options) (*Result, error) {
	if len(recordings) == 0 {
		return nil, errors.New("no recording is given; must be at least one")
	}
	if o.MassKG > 0 && o.MassKG <= r.Load.PayloadKG {
		return nil, problem.Errorf("the weighed mass is %.4g kg with its payload, and the rig has a payload of %.4g kg; must be more", o.MassKG, r.Load.PayloadKG)
	}
	result := &Result{Rig: r}
	var tracks []track
	var pieces [][]Piece
	for _, rec := range recordings {
		k, err := newTrack(rec, r)
		if err != nil {
			return nil, err
		}
		k.sampled = o.CommandsSampled || rec.Simulated
		own, given := o.Pieces[rec.Source]
		if !given {
			own = find(&k)
		}
		tracks, pieces = append(tracks, k), append(pieces, own)
		result.Pieces = append(result.Pieces, Pieces{rec.Source, rounded(own)})
	}
	g := gather(tracks, pieces, r, o.MassKG)
	result.Closed = g.closed
	if err := g.reversed(); err != nil {
		return result, err
	}
	if err := result.doubtReach(recordings, r, o.AcceptDoubts); err != nil {
		return result, err
	}
	m := g.model()
	if len(m.windows)+len(m.presses)+len(m.stops) == 0 {
		return result, fmt.Errorf("no piece of %s determines a value of the rig; must have travel, a press or a stop by brake. %s%s", tracks[0].name, foundPieces(result.Pieces), hardlyMoves(recordings, r))
	}
	f, err := m.solve(ctx)
	if err != nil {
		return result, fmt.Errorf("cannot fit the values of the rig: %w. %s%s", err, foundPieces(result.Pieces), hardlyMoves(recordings, r))
	}
	result.Values = append(f.values(g), noiseValues(&m.noise, r)...)
	result.Parts, result.Related, result.Condition = f.parts(), f.related(), f.result.Condition
	result.Singular = f.singular()
	result.Ratio = f.ratio(g)
	result.warn(f, g)
	return result, result.warnOfScales(f, g, recordings[0], o.AcceptDoubts)
}

// ofNames are the names of the parts of the fit.
func (of part) String() string {
	return [parts]string{"motion", "press", "stop by brake", "times and assumptions"}[of]
}

func (f *fitted) parts() []Part {
	found := make([]Part, parts)
	predicted := make([]float64, len(f.m.rows))
	f.m.predict(predicted, f.p)
	var sum, squares, total, deviations [parts]float64
	for i, r := range f.m.rows {
		p := &found[r.part]
		e := r.observed - predicted[i]
		p.Time, p.Residuals = append(p.Time, r.t), append(p.Residuals, e/(r.sigma*f.factor[r.group]))
		deviations[r.part] += f.factor[r.group] * f.factor[r.group]
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
			found[of].Name, found[of].Factor, found[of].Determination = of.String(), math.Sqrt(deviations[of]/float64(found[of].Rows)), 1-squares[of]/total[of]
			found[of].Whiteness = whiteness(found[of].Residuals)
			out = append(out, found[of])
		}
	}
	return out
}

// singular are the names of the fitted values without a standard error.
func (f *fitted) singular() []string {
	var names []string
	for i, u := range f.m.unknowns {
		if u.free && math.IsNaN(f.standardError(i)) {
			names = append(names, u.name)
		}
	}
	return names
}

// relatedFrom is the correlation from which two values are named.
const relatedFrom = 0.5

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
	slices.SortStableFunc(found, func(a, b Related) int { return cmp.Compare(math.Abs(b.Correlation), math.Abs(a.Correlation)) })
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
	return &Ratio{HoldingRMSA: torque / f.x[torqueConstant], LoadTorqueNM: torque, NMPerRMSA: f.x[torqueConstant], Measured: f.m.unknowns[transducer].free, Weighed: g.massKG > 0}
}

// The choices of a warning. With a right model, recordings of all built-in rigs at three levels of noise had residuals of
// up to 1.6 times the noise, and in the motion none of 360 was unlikely.
const (
	largeFactor = 3    // of the residuals over the noise of the samples
	inARow      = 1.5  // of the same, from which those of a press or a stop that follow one another count
	unlikely    = 1e-4 // probability
	leastLate   = 5e-4 // s, of a current that is recorded late
	longLate    = 0.02 // s, a multiple of what filters and cycles of a recorder delay; common practice
	lags        = 10   // of the test of whiteness, and at most a fifth of the residuals
)

// whiteness tests whether the residuals of a part follow those before them. Values that are fitted to a short piece leave
// residuals that alternate, which says nothing against the model.
func whiteness(residuals []float64) float64 {
	test, err := leastsquares.LjungBox(residuals, min(lags, len(residuals)/5))
	switch {
	case err != nil:
		return math.NaN()
	case test.Autocorrelations[0] <= 0:
		return 1
	}
	return test.PValue
}
