package training

import (
	"fmt"
	"iter"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/sequence"
	"holdbench/sim/compare"
)

// What a difference must be so that a riddle can be solved by it. Two tolerances are 12 σ of the noise, or 4 % of
// the range of the signal in this state; half a second is five columns of the curves of a run of 8 s on a
// terminal of 80 columns, and one column is enough where the run ends with the difference; two thousandths of the unit
// are to be seen in a value with three decimals, and a time that is left is shown in whole seconds.
const (
	LeastTolerances = 2.0
	LeastTime       = 500 * time.Millisecond
	LeastTimeToEnd  = 100 * time.Millisecond
	LeastFigure     = 0.002
	leastCountdown  = 1.0  // s
	leastFrozen     = 0.02 // of the unit, by which the other run changes meanwhile: two hundredths are to be seen with two decimals
)

// Sign is how a signal differs.
type Sign string

// The signs.
const (
	// Apart means that the values of the second run are apart from those of the first.
	Apart Sign = "apart"
	// Frozen means that the signal does not change at all and changes in the first run.
	Frozen Sign = "frozen"
	// Noisy means that the values have more noise than those of the first run.
	Noisy Sign = "noisy"
)

// Visibility is the proof that two runs can be told apart by a signal that the bench shows: from FromS for LastsS
// the signal differs by [LeastTolerances] and [LeastFigure] or more, for [LeastTime] or longer, or to the end of
// the second run. The difference begins before the two are in different states; what follows from another state proves
// nothing. If there is none, one counts in a state that both go through in the same order, each from its entry.
type Visibility struct {
	Signal, Unit string
	Sign         Sign
	State        string  // of the second run at FromS
	FromS        float64 // s
	LastsS       float64 // s
	ToEnd        bool    // it lasts to the end of the second run
	BeyondFirst  bool    // it lasts beyond the end of the first run, whose last values count from then on
	InState      bool    // the runs are compared from their entries into the state, in the first run from FirstS on
	FirstS       float64 // s
	// Least is the least difference in this time in the unit of the signal, 0 for a word or a flag: of a value of the
	// second run from all values of the first within the scans by which chance can shift an event, or of the two
	// widths of the noise and the two ranges.
	Least      float64
	Tolerances float64 // the same in tolerances
	// First and Second are the values in the two runs where they differ the most, ClearS in the second run, or the
	// widths of the noise.
	First, Second string
	ClearS        float64

	evident int // scan in which it can be seen: that of FromS, or for noise the one behind so much of it
}

// Text is the proof as a sentence; first and second say which run it is, such as "in the nominal run".
func (v *Visibility) Text(first, second string) string {
	at := fmt.Sprintf("From %.3f s in %s for %.2f s: ", v.FromS, v.State, v.LastsS)
	if v.ToEnd || v.BeyondFirst {
		at = fmt.Sprintf("From %.3f s in %s to the end of the run: ", v.FromS, v.State)
	}
	switch v.Sign {
	case Frozen:
		return fmt.Sprintf("%s%s does not change %s and changes %s.", at, v.Signal, second, first)
	case Noisy:
		return fmt.Sprintf("%s%s has noise, peak to peak in 95 %% of the scans, of %s %s and of %s %s.", at, v.Signal, withUnit(v.Second, v.Unit), second, withUnit(v.First, v.Unit), first)
	}
	if v.ClearS > v.FromS {
		at += fmt.Sprintf("at %.3f s ", v.ClearS)
	}
	text := fmt.Sprintf("%s%s is %s %s and %s %s", at, v.Signal, withUnit(v.Second, v.Unit), second, withUnit(v.First, v.Unit), first)
	if v.InState {
		text += ", both as long in this state"
	}
	if v.Least > 0 {
		text += fmt.Sprintf("; they differ by %s or more", withUnit(figure(v.Least), v.Unit))
	}
	return text + "."
}

// figure writes a number with three digits, or a whole one if it has more.
func figure(x float64) string {
	if math.Abs(x) >= 1000 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'g', 3, 64)
}

// visible is the proof by a signal that is drawn, else by one that is listed: by the one that differs first, of those
// at the same time by the most; ok is false if no signal differs as much and as long as is required.
func (r *reference) visible(other *Recording) (best Visibility, ok bool) {
	for v := range r.proofs(other) {
		if !ok || v.before(&best) {
			best, ok = v, true
		}
	}
	if !ok {
		return r.inSameState(other)
	}
	return best, ok
}

// shows is whether there is a proof.
func (r *reference) shows(other *Recording) bool {
	for range r.proofs(other) {
		return true
	}
	_, ok := r.inSameState(other)
	return ok
}

// proofs are those of each signal at the same time in both runs.
func (r *reference) proofs(other *Recording) iter.Seq[Visibility] {
	return func(yield func(Visibility) bool) {
		differ := span{r.firstUnequal(other), r.divergence(other)}
		for i := range r.signals {
			s := &r.signals[i]
			if !isShown(r.sequence, s.Name) {
				continue
			}
			for _, find := range []func(*referenceSignal, *Recording, span) (Visibility, bool){r.stretch, r.frozenStretch, r.noisyStretch} {
				v, found := find(s, other, differ)
				found = found && (!s.isCountdown() || !other.stands(s, v.evident) && !r.stands(s, v.evident))
				if found && !yield(v) {
					return
				}
			}
		}
	}
}

// span is from the scan in which two runs first differ, however little, to the one in which their states part.
type span struct{ from, parted int }

// before is whether a proof is taken in place of another one.
func (v *Visibility) before(other *Visibility) bool {
	switch drawn := isDrawn(v.Signal); {
	case drawn != isDrawn(other.Signal):
		return drawn
	case v.evident != other.evident:
		return v.evident < other.evident
	}
	return v.Tolerances > other.Tolerances
}

// longEnough is whether scans from the one to before the other last as long as is required.
func (r *Recording) longEnough(from, to int) bool {
	const rounding = 1e-9
	least := LeastTime
	if to == len(r.scans) {
		least = LeastTimeToEnd
	}
	return r.lasts(from, to) >= least.Seconds()-rounding
}

// isCountdown is whether a number is a time that is left, which falls by itself.
func (s *referenceSignal) isCountdown() bool { return strings.HasSuffix(s.Name, "proof_left_s") }

// stands is whether a time that is left does not fall for a while. What the sequence receives of it does not reach it
// then, and the bench shows the judge's own, which falls: no sign that can be seen.
func (r *Recording) stands(s *referenceSignal, from int) bool {
	to := min(len(r.scans), from+int(math.Ceil(LeastTime.Seconds()/r.scanS)))
	for i := from + 1; i < to; i++ {
		if s.InputNumber(&r.scans[i].in) != s.InputNumber(&r.scans[from].in) {
			return false
		}
	}
	return true
}

// leastFigure is the least difference of a number that is to be seen.
func (s *referenceSignal) leastFigure() float64 {
	if s.isCountdown() {
		return leastCountdown
	}
	return LeastFigure
}

// stretch finds the first stretch of scans in which a signal differs as required.
func (r *reference) stretch(s *referenceSignal, other *Recording, differ span) (v Visibility, found bool) {
	begin, from := -1, -1 // of any difference, and of one that is large enough
	for i := differ.from; i <= len(other.scans); i++ {
		excess := 0.0
		if i < len(other.scans) {
			excess = r.seen(s, other, i)
		}
		if begin < 0 && excess > 0 {
			begin = i
		}
		switch {
		case excess >= LeastTolerances && from < 0:
			from = i
		case excess < LeastTolerances && from >= 0:
			if other.longEnough(from, i) {
				return r.proof(s, other, from, i), true
			}
			from = -1
		}
		if excess == 0 {
			begin = -1
		}
		if begin > differ.parted || begin < 0 && i > differ.parted {
			return v, false
		}
	}
	return v, false
}

// frozenStretch finds the time in which a signal does not change although that of the reference does.
func (r *reference) frozenStretch(s *referenceSignal, other *Recording, differ span) (v Visibility, found bool) {
	if s.Kind != sequence.KindNumber || s.isCountdown() {
		return v, false
	}
	from, ok := r.frozenSince(s, other, differ.from)
	if !ok || from > differ.parted {
		return v, false
	}
	to := from + 1
	for to < len(other.scans) && s.InputNumber(&other.scans[to].in) == s.InputNumber(&other.scans[from].in) {
		to++
	}
	v = r.proof(s, other, from, to)
	v.Sign, v.Least, v.Tolerances = Frozen, 0, 0
	low, high := math.Inf(1), math.Inf(-1)
	for i := from; i < min(to, len(s.values)); i++ {
		low, high = min(low, s.values[i]), max(high, s.values[i])
	}
	return v, other.longEnough(from, to) && high-low >= leastFrozen
}

// seen is the excess of a signal in a scan, 0 if no figure shows it.
func (r *reference) seen(s *referenceSignal, other *Recording, i int) float64 {
	excess := r.excess(s, other, i)
	if excess > 0 && s.Kind == sequence.KindNumber {
		if distance, _ := s.distance(s.InputNumber(&other.scans[i].in), i, r.slackScans); distance < s.leastFigure() {
			return 0
		}
	}
	return excess
}

// noisyStretch finds the time in which a signal has more noise than that of the reference.
func (r *reference) noisyStretch(s *referenceSignal, other *Recording, differ span) (v Visibility, found bool) {
	if s.Kind != sequence.KindNumber || s.isCountdown() {
		return v, false
	}
	window := max(3, int(math.Ceil(LeastTime.Seconds()/r.scanS-1e-9)))
	for from := differ.from / (window / 2) * (window / 2); from <= differ.parted && from+window <= len(other.scans); from += window / 2 {
		more, least, was, is := r.moreNoise(s, other, from, window)
		if more > 0 {
			return Visibility{
				Signal: s.Name, Unit: s.Unit.String(), Sign: Noisy, State: other.at(from).state, FromS: other.at(from).atS, LastsS: other.lasts(0, window),
				First: strconv.FormatFloat(was, 'f', 3, 64), Second: strconv.FormatFloat(is, 'f', 3, 64), Least: least, Tolerances: more, evident: from + window,
			}, true
		}
	}
	return v, false
}

// noiseWidth is the width of the noise in deviations: 95 % of normal values are within ±2 σ.
const noiseWidth = 4

// moreNoise is by how many tolerances and by how much the noise of a signal in a window is wider than that of the
// reference there, 0 for less than is required, with both widths. The range of the values must be wider by as much:
// noise that drowns in slow changes is not to be seen on a curve.
func (r *reference) moreNoise(s *referenceSignal, other *Recording, from, window int) (more, least, was, is float64) {
	first, second := make([]float64, window), make([]float64, window)
	tolerance := 0.0
	for i := range window {
		k := min(from+i, len(s.values)-1)
		first[i], second[i] = s.values[k], s.InputNumber(&other.scans[from+i].in)
		tolerance = max(tolerance, s.tolerances[k])
	}
	was, is = float64(noiseWidth*compare.Noise(first)), float64(noiseWidth*compare.Noise(second))
	least = min(is-was, rangeOf(second)-rangeOf(first))
	switch {
	case least < max(LeastFigure, LeastTolerances*tolerance):
		return 0, 0, was, is
	case tolerance == 0:
		return flagExcess, least, was, is
	}
	return min(flagExcess, least/tolerance), least, was, is
}

func rangeOf(xs []float64) float64 { return slices.Max(xs) - slices.Min(xs) }

// proof is that of the scans from the one to before the other.
func (r *reference) proof(s *referenceSignal, other *Recording, from, to int) Visibility {
	is := other.at(from)
	v := Visibility{
		Signal: s.Name, Unit: s.Unit.String(), Sign: Apart, State: is.state, FromS: is.atS, LastsS: other.lasts(from, to), ToEnd: to == len(other.scans), BeyondFirst: to > len(r.scans),
		evident: from, Tolerances: flagExcess,
	}
	least, most, clearest := math.Inf(1), math.Inf(-1), from
	for i := from; i < to; i++ {
		v.Tolerances = min(v.Tolerances, r.excess(s, other, i))
		if s.Kind == sequence.KindNumber {
			distance := s.atLeast(s.InputNumber(&other.scans[i].in), i, r.slackScans)
			least = min(least, distance)
			if distance > most {
				most, clearest = distance, i
			}
		}
	}
	if !math.IsInf(least, 1) {
		v.Least = least
	}
	v.ClearS = other.at(clearest).atS
	v.First, v.Second, _, _ = compare.Figures(text(&s.Signal, r.at(clearest)), text(&s.Signal, other.at(clearest)), true)
	return v
}

// lasts is how long scans from the one to before the other last, in seconds.
func (r *Recording) lasts(from, to int) float64 { return float64(to-from) * r.scanS }
