package report

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
)

// Recorded are signals of the real axis over the time of one run.
type Recorded struct {
	File    string
	SHA256  string
	Unknown []string // columns that are not compared
	t       []float64
	signals []recordedSignal
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

// What a column is that is no signal.
const (
	isTime  = -1
	leftOut = -2
)

// maxRecorded bounds the rows of a recording.
const maxRecorded = 5_000_000

// ReadRecorded reads a recording: comma-separated values with a heading, a column t_s in seconds from the
// start of the run that rises from row to row, and columns named as in a trace. Others are left out; an
// empty cell is a gap. The error names line and column.
func ReadRecorded(text []byte) (*Recorded, error) {
	in := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	in.ReuseRecord = true
	head, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("line 1: no heading; must be comma-separated values with the columns t_s and one or more of %s", strings.Join(recordableNames(), ", "))
	}
	head = slices.Clone(head)
	r, at := &Recorded{}, make([]int, len(head)) // place in signals by column
	times := 0
	for i, name := range head {
		at[i] = leftOut
		if name = strings.TrimSpace(name); name == "capacity_nm" {
			return nil, errors.New("line 1: the column capacity_nm is known to a simulation only; must be a recording of the axis, not a trace of a run")
		}
		if name == "t_s" {
			at[i], times = isTime, times+1
		}
		for _, known := range recordables() {
			if known.column != name {
				continue
			}
			if slices.ContainsFunc(r.signals, func(s recordedSignal) bool { return s.column == name }) {
				return nil, fmt.Errorf("line 1: column %s is there twice; must be once", name)
			}
			at[i] = len(r.signals)
			r.signals = append(r.signals, recordedSignal{recordable: known})
		}
		if at[i] == leftOut {
			r.Unknown = append(r.Unknown, page.CleanLine(name))
		}
	}
	switch {
	case times != 1:
		return nil, fmt.Errorf("line 1: the heading has %s t_s; must be one, in seconds from the start of the run", page.Count(times, "column", "columns"))
	case len(r.signals) == 0:
		return nil, fmt.Errorf("line 1: none of the columns %s can be compared; must be one or more of %s", page.CleanLine(strings.Join(head, ", ")), strings.Join(recordableNames(), ", "))
	}
	return r, r.rows(in, head, at)
}

func (r *Recorded) rows(in *csv.Reader, head []string, at []int) error {
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err // it names the line
		}
		line, _ := in.FieldPos(0)
		if err := r.row(row, line, head, at); err != nil {
			return err
		}
		n := len(r.t)
		if n > 1 && r.t[n-1] <= r.t[n-2] {
			return fmt.Errorf("line %d, column t_s: %s s is not after %s s of the row before; must rise", line, page.Figure(r.t[n-1]), page.Figure(r.t[n-2]))
		}
		if n > maxRecorded {
			return fmt.Errorf("line %d: there are more than %d rows; must be fewer, every tenth row will do", line, maxRecorded)
		}
	}
	if len(r.t) < 2 {
		return fmt.Errorf("there are %s of values; must be at least 2", page.Count(len(r.t), "row", "rows"))
	}
	return nil
}

// row takes the numbers of one row.
func (r *Recorded) row(row []string, line int, head []string, at []int) error {
	for i, text := range row {
		if at[i] == leftOut {
			continue
		}
		x, err := recordedNumber(text, at[i] == isTime)
		if err != nil {
			return fmt.Errorf("line %d, column %s: %w", line, page.CleanLine(head[i]), err)
		}
		if at[i] == isTime {
			r.t = append(r.t, x)
			continue
		}
		s := &r.signals[at[i]]
		s.values = append(s.values, x*s.factor)
	}
	return nil
}

func recordedNumber(text string, time bool) (float64, error) {
	text = strings.TrimSpace(text)
	if text == "" && !time {
		return math.NaN(), nil
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%q is no number; must be one with a decimal point, such as 12.5", page.CleanLine(text))
	}
	return x, nil
}

// series are the recorded curves of a panel.
func (r *Recorded) series(panel string) []series {
	var list []series
	for i := range r.signals {
		s := &r.signals[i]
		if s.panel == panel {
			list = append(list, series{"recorded " + s.column, "rec", reduced(len(r.t), func(i int) point { return point{r.t[i], s.values[i]} })})
		}
	}
	return list
}

// apart is an error if not one sample of the recording lies within the time of the run.
func (r *Recorded) apart(t *Trace) error {
	for i := range r.signals {
		s := &r.signals[i]
		for k, x := range r.t {
			if _, ok := t.at(s.quantity, x); ok && !math.IsNaN(s.values[k]) {
				return nil
			}
		}
	}
	return fmt.Errorf("the recording from %s to %s has no sample in common with the run from %s to %s; its t_s must count from the start of the run",
		page.Seconds(r.t[0]), page.Seconds(r.t[len(r.t)-1]), page.Seconds(t.begin()), page.Seconds(t.end()))
}

// notes compare what was recorded with what was simulated, at the times of the recording.
func (r *Recorded) notes(t *Trace) []string {
	list := []string{"Recorded on the axis: " + page.CleanLine(r.File) + ", SHA-256 " + r.SHA256 + fmt.Sprintf(", %s from %s to %s.", page.Count(len(r.t), "row", "rows"), page.Seconds(r.t[0]), page.Seconds(r.t[len(r.t)-1]))}
	if len(r.Unknown) > 0 {
		list = append(list, "Columns of the recording that are not known, and are not compared: "+strings.Join(r.Unknown, ", ")+".")
	}
	for i := range r.signals {
		s := &r.signals[i]
		worst, at, sum, n := 0.0, 0.0, 0.0, 0
		for k, x := range r.t {
			simulated, ok := t.at(s.quantity, x)
			if !ok || math.IsNaN(s.values[k]) {
				continue
			}
			d := s.values[k] - simulated
			if n++; math.Abs(d) > math.Abs(worst) {
				worst, at = d, x
			}
			sum += d * d
		}
		if n == 0 {
			list = append(list, s.column+": no time in common with the run.")
			continue
		}
		list = append(list, fmt.Sprintf("%s: the largest difference, recorded less simulated, is %s %s, at %s; root mean square %s %s, over %s in common.",
			s.column, page.Figure(difference(worst)), s.unit, page.Seconds(at), page.Figure(difference(math.Sqrt(sum/float64(n)))), s.unit, page.Count(n, "sample", "samples")))
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

// at is a quantity at a time, between two samples on the line of both; false outside the run and in a gap.
func (p *Trace) at(q quantity, x float64) (float64, bool) {
	i := sort.Search(len(p.t), func(i int) bool { return float64(p.t[i]) >= x })
	if i == len(p.t) {
		return 0, false
	}
	if i == 0 {
		return float64(p.values[q][0]), p.t[0] == float32(x)
	}
	a, z := float64(p.t[i-1]), float64(p.t[i])
	u, v := float64(p.values[q][i-1]), float64(p.values[q][i])
	y := u + float64((v-u)*(x-a)/(z-a))
	return y, !math.IsNaN(y)
}
