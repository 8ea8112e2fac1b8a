package report

import (
	"fmt"
	"math"
	"strconv"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/sweep"
)

// Sweep is the output of holdbench sweep --json.
type Sweep struct {
	Study
	Summary sweep.Summary
}

// Check refuses a file of something else.
func (s *Sweep) Check() error {
	if s.Summary.Sweep == "" || s.Summary.Done == 0 {
		return errNotOf("sweep --json")
	}
	return nil
}

func (w *Sweep) study() *Study {
	h := &w.Summary.Head
	w.what, w.scenario, w.rig, w.sequence = theSweep, h.Sweep, h.Rig, h.Sequence
	w.same = fingerprinted(h.Documents, h.Seed, func(c *sim.Case) (string, error) { return c.Fingerprint() })
	return &w.Study
}

func (w *Sweep) section() *Section {
	m := &w.Summary
	s := &Section{Title: "Operating characteristic of " + page.CleanLine(m.Sweep), Notes: []string{
		w.source(),
		fmt.Sprintf("rig %s, %s, seed %d, documents %s; %s, confidence %s %%.", page.CleanLine(m.Rig), page.CleanLine(sequence.Titled(m.Sequence)), m.Seed, page.CleanLine(m.Documents), page.Count(m.Done, "run", "runs"), page.Figure(100*m.Confidence)),
	}}
	if !m.Whole {
		s.Items = append(s.Items, Cell{Text: "the sweep was interrupted: the file has what was done until then", Tone: "bad"})
	}
	s.Tables = []Table{w.rates(), w.spreads()}
	if len(m.Curve) > 0 {
		s.Figures = []Figure{{Caption: "probability of a proof over the true capacity", Drawing: w.curve().svg(), Notes: []string{w.fitText()}}}
	}
	return s
}

func (w *Sweep) rates() Table {
	m := &w.Summary
	t := Table{Caption: "rates", Columns: heads("rate", ">runs", ">of", ">share", ">interval")}
	add := func(name string, r *sweep.Rate) {
		if r != nil {
			t.add(name, strconv.Itoa(r.Count), strconv.Itoa(r.Of), percent(r.Rate), percent(r.Low)+" to "+percent(r.High))
		}
	}
	add("missed, of brakes with insufficient torque", m.Missed)
	add("false alarms, of brakes with sufficient torque and no other fault", m.FalseAlarm)
	add("of these stopped by the sequence behind a proof", m.Stopped)
	if r := m.Rarity; r != nil {
		t.add("rare-event estimate: "+string(r.Class), strconv.Itoa(r.Events), "", fmt.Sprintf("%.3g", r.Probability), fmt.Sprintf("%.3g to %.3g", r.Low, r.High))
		if r.Warning != "" {
			t.Notes = append(t.Notes, page.CleanLine(r.Warning))
		}
	}
	t.Notes = append(t.Notes, fmt.Sprintf("Runs that broke an obligation: %d. Largest load drop: %s mm.", m.Broken, page.Figure(small(m.LoadDropMM))))
	return t
}

func percent(x float64) string { return fmt.Sprintf("%.3g %%", 100*x) }

func (w *Sweep) spreads() Table {
	t := Table{Caption: "what varies between runs", Columns: heads("value", "distribution", "from")}
	for _, s := range w.Summary.Spreads {
		from := "given"
		if s.Assumed {
			from = "assumed by holdbench, to be checked"
		}
		t.add(page.CleanLine(s.Key), page.CleanLine(s.As), from)
	}
	return t
}

// curve is the counted shares with their intervals, and the fitted curve where one goes through them.
func (w *Sweep) curve() *plot {
	var counted, low, high []point
	for _, p := range w.Summary.Curve {
		if p.Of == 0 {
			continue
		}
		counted = append(counted, point{p.Mean, p.Rate.Rate})
		low = append(low, point{p.Mean, p.Low})
		high = append(high, point{p.Mean, p.High})
	}
	p := &plot{label: "probability of a proof over the ratio of true capacity to required torque", axis: "true capacity over required torque", from: math.Inf(1), to: math.Inf(-1)}
	for _, q := range counted {
		p.from, p.to = math.Min(p.from, q.x), math.Max(p.to, q.x)
	}
	if p.from > p.to {
		p.from, p.to = 0, 1
	}
	list := []series{{"counted", "l0", counted}, {"interval, low", "l3", low}, {"interval, high", "l5", high}}
	if fit := w.Summary.Fit; fit != nil && fit.Normal != nil {
		list = append(list, series{"fitted", "l2", fitted(fit.Normal, p.from, p.to)})
	}
	p.panels = []panel{{name: "share with a proof", series: list}}
	return p
}

// fitted is the cumulative normal distribution between its two rates: natural + (1 − natural − lapse) Φ((x − median)/spread).
func fitted(n *sweep.Normal, from, to float64) []point {
	const steps = 120
	var list []point
	for i := range steps + 1 {
		x := from + (to-from)*float64(i)/steps
		phi := 0.5 * math.Erfc(-(x-n.Median.Value)/(n.Spread.Value*math.Sqrt2))
		list = append(list, point{x, n.Natural.Value + (1-n.Natural.Value-n.Lapse.Value)*phi})
	}
	return list
}

func (w *Sweep) fitText() string {
	fit := w.Summary.Fit
	switch {
	case fit == nil:
		return "No curve: " + page.OrNothing(page.CleanLine(w.Summary.NoFit)) + "."
	case fit.Normal == nil:
		return "No curve of the normal distribution goes through the counts: " + page.CleanLine(fit.NotNormal) + "."
	}
	n := fit.Normal
	return fmt.Sprintf("Fitted: median %s (%s to %s), spread %s (%s to %s), rates at the ends %s and %s; p value of the fit %.3g.",
		page.Figure(n.Median.Value), page.Figure(n.Median.Low), page.Figure(n.Median.High),
		page.Figure(n.Spread.Value), page.Figure(n.Spread.Low), page.Figure(n.Spread.High), percent(n.Natural.Value), percent(n.Lapse.Value), fit.PValue)
}
