package report

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
)

// Recorded are signals of the real axis over the time of one run.
type Recorded struct {
	*recording.Recording
	signals []recordedSignal
	shift   float64 // s, the time t of the recording is t + shift of the run
}

type recordedSignal struct {
	recordable
	values []float64
}

// recordable is a column that a recording may have, in the words of a trace.
type recordable struct {
	column, unit string
	panel        string
	quantity     quantity // of the simulation that it is compared with
	factor       float64  // to the unit of the quantity
}

// recordables are the columns that are laid over a run.
func recordables() []recordable {
	return []recordable{
		{"position_mm", "mm", "position", positionMM, 1},
		{"load_mm", "mm", "position", loadMM, 1},
		{"torque_nm", "N·m", "torque", torqueNM, 1},
		{"torque_motor_nm", "N·m", "torque", motorNM, 1},
		{"current_rms_a", "A", "current", currentA, math.Sqrt2},
		{"current_amp_a", "A", "current", currentA, 1},
		{"judge_current_amp_a", "A", "current", judgeA, 1},
	}
}

func recordableNames() []string {
	var names []string
	for _, r := range recordables() {
		names = append(names, r.column)
	}
	return names
}

// NewRecorded takes of a recording what is laid over a run.
func NewRecorded(r *recording.Recording) (*Recorded, error) {
	list := &Recorded{Recording: r}
	for _, known := range recordables() {
		channel := r.Channel(known.column)
		if channel == nil {
			continue
		}
		values := make([]float64, len(channel.Values))
		for i, x := range channel.Values {
			values[i] = x * known.factor
		}
		list.signals = append(list.signals, recordedSignal{known, values})
	}
	if len(list.signals) == 0 {
		return nil, fmt.Errorf("%s: none of its signals can be compared; must be one or more of %s", r.Source, strings.Join(recordableNames(), ", "))
	}
	return list, nil
}

// word says what the signals are.
func (r *Recorded) word() string {
	if r.Simulated {
		return "trace"
	}
	return "recorded"
}

// series are the recorded curves of a panel.
func (r *Recorded) series(panel string) []series {
	var list []series
	for i := range r.signals {
		s := &r.signals[i]
		if s.panel == panel {
			list = append(list, series{r.word() + " " + s.column, "rec", reduced(len(r.Time), func(i int) point { return point{r.Time[i] + r.shift, s.values[i]} })})
		}
	}
	return list
}

// Unknown are the columns that are no signal.
func (r *Recorded) Unknown() []string {
	var list []string
	for _, name := range r.Layout.LeftOut {
		list = append(list, page.CleanLine(name))
	}
	return list
}

// NotDrawn are the columns of signals that have no curve in the figure.
func (r *Recorded) NotDrawn() []string {
	var list []string
	for i := range r.Channels {
		if !slices.ContainsFunc(r.signals, func(s recordedSignal) bool { return s.column == r.Channels[i].Signal }) {
			list = append(list, page.CleanLine(r.Channels[i].Column))
		}
	}
	return list
}

// apart is an error if not one sample of the recording lies within the time of the run.
func (r *Recorded) apart(t *Trace) error {
	for i := range r.signals {
		s := &r.signals[i]
		if recording.Compare(r.Time, s.values, t.whole(s.quantity), r.shift).Samples > 0 {
			return nil
		}
	}
	return fmt.Errorf("the recording from %s to %s has no sample in common with the run from %s to %s; its time must count from the start of the run",
		page.Seconds(r.Time[0]), page.Seconds(r.Time[len(r.Time)-1]), page.Seconds(t.begin()), page.Seconds(t.end()))
}

// align lays the closing of the brake in the recording on that of the run, where the two were found.
func (r *Recorded) align(j *Judged) {
	if j != nil && j.Beside != nil {
		r.shift = j.Beside.ShiftS
	}
}

// aligned says how the times of the recording and of the run belong together.
func (r *Recorded) aligned(j *Judged) string {
	switch {
	case j == nil:
		return "Not aligned: a time of the recording is taken as the time from the start of the run."
	case j.Beside == nil:
		return "Not aligned: a time of the recording is taken as the time from the start of the run, as " + j.Apart + "."
	default:
		return fmt.Sprintf("Aligned by the first closing of the brake (%s): a time of the recording is %+.4g s later in the run.", j.Beside.AlignedBy, j.Beside.ShiftS)
	}
}

// notes compare what was recorded with what was simulated, at the times of the recording.
func (r *Recorded) notes(t *Trace, j *Judged) []string {
	from := "Recorded on the axis: "
	if r.Simulated {
		from = "Trace of a run, accepted by --simulated; nothing in it is measured: "
	}
	list := []string{from + page.CleanLine(filepath.Base(r.Source)) + ", SHA-256 " + r.SHA256 + fmt.Sprintf(", %s from %s to %s.", page.Count(len(r.Time), "row", "rows"), page.Seconds(r.Time[0]), page.Seconds(r.Time[len(r.Time)-1]))}
	if unknown := r.Unknown(); len(unknown) > 0 {
		list = append(list, "Columns of the recording that are not known, and are not compared: "+strings.Join(unknown, ", ")+".")
	}
	list = append(list, r.aligned(j))
	if j != nil && j.Beside != nil {
		return append(list, r.besideNotes(j.Beside)...)
	}
	for i := range r.signals {
		s := &r.signals[i]
		d := recording.Compare(r.Time, s.values, t.whole(s.quantity), r.shift)
		if d.Samples == 0 {
			list = append(list, s.column+": no time in common with the run.")
			continue
		}
		list = append(list, fmt.Sprintf("%s: the largest difference, %s less simulated, is %s %s, at %s; root mean square %s %s, over %s in common.",
			s.column, r.word(), page.Figure(difference(d.Largest)), s.unit, page.Seconds(d.LargestAt), page.Figure(difference(d.RMS)), s.unit, page.Count(d.Samples, "sample", "samples")))
	}
	return list
}

// besideNotes are the differences around the closed brake, the same as those of an evaluation.
func (r *Recorded) besideNotes(b *evaluate.Beside) []string {
	list := []string{fmt.Sprintf("Compared from %s to %s of the recording, recorded less simulated, each signal as it was recorded:", page.Seconds(b.FromS), page.Seconds(b.ToS))}
	for _, s := range b.Signals {
		list = append(list, fmt.Sprintf("%s: the largest difference is %s %s, at %s of the recording; root mean square %s %s, over %s.",
			s.Signal, page.Figure(difference(s.Largest)), s.Unit, page.Seconds(s.LargestAtS), page.Figure(difference(s.RMS)), s.Unit, page.Count(s.Samples, "sample", "samples")))
	}
	return list
}

// difference is one for people, without what is only rounding.
func difference(x float64) float64 {
	if math.Abs(x) < 1e-6 {
		return 0
	}
	return page.Round(x)
}

// whole is a quantity over time, sample by sample.
func (p *Trace) whole(q quantity) *recording.Curve {
	c := &recording.Curve{Time: make([]float64, len(p.t)), Values: make([]float64, len(p.t))}
	for i := range p.t {
		c.Time[i], c.Values[i] = float64(p.t[i]), float64(p.values[q][i])
	}
	return c
}
