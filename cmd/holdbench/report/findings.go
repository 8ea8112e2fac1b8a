package report

import (
	"fmt"
	"slices"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/mutation"
	"holdbench/sim/probe"
	"holdbench/sim/statistics"
	"holdbench/sim/sweep"
)

// toReview are the findings of the studies that nothing sets aside. Studies of other documents have none here.
func (in *Input) toReview() *Section {
	return listed("to-review", "Findings of the studies that are to be reviewed", in.findings(), in.noFinding())
}

// noFinding says why there is none: that is no praise where no study belongs to the record.
func (in *Input) noFinding() string {
	for _, s := range in.Studies.all() {
		if s.counts() {
			return "None."
		}
	}
	return "None, as no study of the documents of this record was given."
}

func (in *Input) findings() []Cell {
	var items []Cell
	take := func(s *Study, found []Cell) {
		if len(s.other) > 0 {
			return
		}
		for _, c := range found {
			c.Text, c.Links = s.name()+": "+c.Text, []Link{{"studies", "studies"}}
			items = append(items, c)
		}
	}
	for _, p := range in.Studies.Probes {
		take(&p.Study, p.open())
	}
	for _, m := range in.Studies.Mutations {
		take(&m.Study, m.open())
	}
	for _, w := range in.Studies.Sweeps {
		take(&w.Study, w.open())
	}
	for _, l := range in.Studies.Lives {
		take(&l.Study, l.open())
	}
	return items
}

// open are the cells that neither a rule nor a name sets aside.
func (p *Probe) open() []Cell {
	var list []Cell
	for _, g := range p.groups() {
		if g.accepted != "" || g.Excused {
			continue
		}
		c := Cell{Text: g.words(), Tone: "bad"}
		if g.Kind == probe.FalseAlarm {
			c.Tone = "warn"
		}
		list = append(list, c)
	}
	return list
}

// open are mistakes in the sequence that no test case notices.
func (m *Mutation) open() []Cell {
	survived := 0
	for i := range m.Mutants {
		if mutation.Status(m.Mutants[i].Fate) == mutation.Survived {
			survived++
		}
	}
	if survived == 0 {
		return nil
	}
	return []Cell{{Text: page.Count(survived, "mistake", "mistakes") + " in the sequence that no test case notices", Tone: "warn"}}
}

// open are misses, false alarms and broken obligations, each with its rate.
func (w *Sweep) open() []Cell {
	m := &w.Summary
	var list []Cell
	add := func(what, tone string, r *sweep.Rate) {
		if r != nil && r.Count > 0 {
			list = append(list, Cell{Text: what + ": " + rateText(r, m.Confidence), Tone: tone})
		}
	}
	add("missed, of brakes with insufficient torque", "bad", m.Missed)
	add("false alarms, of brakes with sufficient torque and no other fault", "warn", m.FalseAlarm)
	if r := m.Rarity; r != nil && r.Events > 0 {
		list = append(list, Cell{Text: fmt.Sprintf("rare-event estimate of %s: probability %.3g (%.3g to %.3g, confidence %s %%), %s", r.Class, r.Probability, r.Low, r.High, page.Figure(100*m.Confidence), page.Count(r.Events, "event", "events")), Tone: "bad"})
	}
	switch {
	case m.Broken == 0:
	case m.Rarity != nil: // its draws are tilted, so that the share is that of no machine
		list = append(list, Cell{Text: page.Count(m.Broken, "run", "runs") + " of the tilted draws broke an obligation", Tone: "bad"})
	default:
		r := rateOf(m.Broken, m.Done, m.Confidence)
		add("runs that broke an obligation", "bad", &r)
	}
	return list
}

// rateOf is a rate with the interval of Clopper and Pearson.
func rateOf(k, n int, confidence float64) sweep.Rate {
	i := statistics.ClopperPearson(k, n, confidence)
	return sweep.Rate{Count: k, Of: n, Rate: float64(k) / float64(n), Low: i.Low, High: i.High}
}

func rateText(r *sweep.Rate, confidence float64) string {
	return fmt.Sprintf("%d of %d, %s (%s to %s, confidence %s %%)", r.Count, r.Of, percent(r.Rate), percent(r.Low), percent(r.High), page.Figure(100*confidence))
}

// lifeConfidence is that of the intervals of a life, whose file has none.
const lifeConfidence = 0.95

// open are what the study says against the interval of the rig; the table compares it with others.
func (l *Life) open() []Cell {
	for i := range l.Values.ByInterval {
		if b := &l.Values.ByInterval[i]; b.IntervalH == l.Values.Plan.IntervalH {
			return l.openOf(b)
		}
	}
	return nil
}

func (l *Life) openOf(b *LifeSum) []Cell {
	var list []Cell
	add := func(what, tone string, k, n int) {
		if k > 0 && n >= k {
			r := rateOf(k, n, lifeConfidence)
			list = append(list, Cell{Text: "tests every " + page.Figure(b.IntervalH) + " h: " + what + ": " + rateText(&r, lifeConfidence), Tone: tone})
		}
	}
	v := &l.Values
	add("missed, of tests with insufficient torque", "bad", b.Missed, b.Missed+b.Detections)
	add("load drops, of emergency stops and power failures", "bad", b.LoadDrops, b.Stops+b.Outages)
	add("exposures that were not detected until the end", "bad", b.Undetected, b.ExposureH.N)
	within := "histories with a time in which the drop limit of " + page.Figure(v.DropLimit.LimitMM) + " mm was not met, "
	add(within+"at rest", "bad", b.DropLimit.FromRest.Histories, v.Histories)
	add(within+"from speed", "bad", b.DropLimit.FromSpeed.Histories, v.Histories)
	if b.ExposureH.Max > b.IntervalH {
		list = append(list, l.longExposure(b))
	}
	add("nuisance failures, of tests", "warn", b.NuisanceFailures, b.Tests)
	return list
}

// longExposure says that an exposure was longer than the interval of the tests, which should end it.
func (l *Life) longExposure(b *LifeSum) Cell {
	text := fmt.Sprintf("tests every %s h: the largest exposure, %s h, is longer than the interval (in production %s h)", page.Figure(b.IntervalH), page.Figure(b.ExposureH.Max), page.Figure(b.InProductionH.Max))
	if list := l.Values.ExposuresH; len(list) > 0 {
		longer := slices.DeleteFunc(slices.Clone(list), func(h float64) bool { return h <= b.IntervalH })
		r := rateOf(len(longer), len(list), lifeConfidence)
		text += ": " + rateText(&r, lifeConfidence) + " of the exposures"
	}
	return Cell{Text: text, Tone: "bad"}
}
