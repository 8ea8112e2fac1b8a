package training

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"holdbench/sim/catalogue"
)

// choiceCount is the number of answers. Of the level [Data] at least two are wrong data and two are not.
const (
	choiceCount = 6
	leastOfKind = 2
)

// outsideRivals is how many wrong causes are compared if a controller outside takes part, whose runs may take as long
// as they last.
const outsideRivals = 12

// fillChoices sets the answers of a riddle; complete is false if there are not enough.
func (d *drawing) fillChoices(ctx context.Context, r *Riddle, faulted *Recording) (complete bool, err error) {
	random := rand.New(rand.NewPCG(d.seed, choiceStream))
	wrong, err := d.wrongCauses(ctx, r, faulted, random)
	if err != nil || len(wrong) < choiceCount-1 {
		return false, err
	}
	all := []Hypothesis{r.Truth}
	r.Causes = []Choice{{Name: r.Truth.Name(), Text: r.Truth.What()}}
	for i := range wrong {
		all = append(all, wrong[i].rival.Hypothesis)
		r.Causes = append(r.Causes, wrong[i].choice)
	}
	r.Remedies = remedies(all, random)
	shuffle(r.Causes, random)
	return true, nil
}

// wrongCause is a rival that was taken.
type wrongCause struct {
	rival  rival
	choice Choice
}

// wrongCauses takes those rivals whose runs are nearest to that of the truth and can still be told from it. None has
// the symptom of the true one, nor that of another one: of two with the same symptom neither can be true, which would
// reveal both.
func (d *drawing) wrongCauses(ctx context.Context, r *Riddle, faulted *Recording, random *rand.Rand) ([]wrongCause, error) {
	rivals := d.rivals(r.Truth)
	if _, ok := d.nominal.Program(); !ok {
		shuffle(rivals, random)
		rivals = rivals[:min(len(rivals), outsideRivals)]
	}
	rivals, err := d.measure(ctx, r.Truth, faulted, rivals)
	if err != nil {
		return nil, err
	}
	truth := newReference(faulted)
	var list []wrongCause
	for _, x := range nearest(rivals, len(r.Truth)) {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if len(list) == choiceCount-1 || !d.suits(r, list, &x) {
			continue
		}
		choice, ok, err := d.refuted(r, truth, &x)
		if err != nil {
			return nil, err
		}
		if ok {
			list = append(list, wrongCause{x, choice})
		}
	}
	return list, nil
}

// nearest sorts rivals by their distance and then by chance, those that show little themselves behind the others: what has no sign is not
// like anything. Of two faults the two that may be replaced take turns: otherwise the one that shows more would be in
// every answer.
func nearest(list []rival, faults int) []rival {
	slices.SortStableFunc(list, func(a, b rival) int {
		if a.shows != b.shows {
			return map[bool]int{true: -1, false: 1}[a.shows]
		}
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.tie, b.tie))
	})
	if faults < 2 {
		return list
	}
	var by [2][]rival
	for _, x := range list {
		by[x.out] = append(by[x.out], x)
	}
	var turns []rival
	for i := range max(len(by[0]), len(by[1])) {
		for _, one := range by {
			if i < len(one) {
				turns = append(turns, one[i])
			}
		}
	}
	return turns
}

// suits is whether a rival may stand beside those that were taken.
func (d *drawing) suits(r *Riddle, taken []wrongCause, x *rival) bool {
	var kinds [2]int // of data, and of others
	count := func(f *catalogue.Entry) {
		if isData(f) {
			kinds[0]++
			return
		}
		kinds[1]++
	}
	count(&r.Truth[0].Entry)
	for i := range taken {
		other := &taken[i].rival
		if other.out == x.out && sameSymptom(&other.in.Entry, &x.in.Entry) {
			return false
		}
		count(&other.in.Entry)
	}
	count(&x.in.Entry)
	return d.level != Data || max(kinds[0], kinds[1]) <= choiceCount-leastOfKind
}

// refuted makes an answer of a rival that differs from the truth in what is to be seen, whatever its severity; an
// answer that cannot be refuted would not be wrong.
func (d *drawing) refuted(r *Riddle, truth *reference, x *rival) (c Choice, ok bool, err error) {
	c = Choice{Name: x.Name(), Text: x.What()}
	for i, h := range x.severities() {
		made, fits := h.caseOf(d.nominal)
		if !fits {
			return c, false, nil
		}
		other, err := record(made, d.healthy.mostScans())
		if err != nil {
			return c, false, err
		}
		why, differs := whyNot(c.Name, truth, other)
		if !differs {
			return c, false, nil
		}
		if i == 0 {
			c.Why, c.Case = why, made
			made.Scenario.Scenario = fmt.Sprintf("riddle-%s-%d-%s", r.Level, r.Seed, strings.ReplaceAll(c.Name, joint, "-and-"))
			made.Scenario.Title = c.Name + " in place of the answer of riddle " + strconv.FormatUint(r.Seed, 10)
			made.Scenario.Teaches, made.Scenario.Remedy = "", ""
		}
	}
	return c, true, nil
}

// whyNot is what speaks against a cause. The noise of one run may hide the other, so each is held against the other.
func whyNot(name string, truth *reference, other *Recording) (why string, differs bool) {
	const here = "in this run"
	v, ok := truth.visible(other)
	if ok {
		return v.Text(here, "with "+name), true
	}
	if v, ok = newReference(other).visible(truth.Recording); ok {
		return v.Text("with "+name, here), true
	}
	return "", false
}

// remedies draws the remedies to choose from: first those of the causes, the right one among
// them, then any.
func remedies(causes []Hypothesis, random *rand.Rand) []Choice {
	var names []string
	for _, h := range causes {
		names = append(names, h.Remedy())
	}
	rest := catalogue.Remedies()
	shuffle(rest, random)
	for _, r := range rest {
		names = append(names, r.Name)
	}
	var list []Choice
	for _, name := range names {
		c := Choice{Name: name, Text: remedyText(name)}
		if len(list) < choiceCount && !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	shuffle(list, random)
	return list
}

func shuffle[T any](list []T, random *rand.Rand) {
	random.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}
