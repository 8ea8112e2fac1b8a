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

// choiceCount is the number of answers. Of the level [Data] half of them are wrong data, and half are not.
const choiceCount = 6

// outsideRivals is how many wrong causes are compared if a controller outside takes part, whose runs may take as long
// as they last.
const outsideRivals = 12

// fillChoices sets the answers of a riddle; complete is false if there are not enough.
func (d *drawing) fillChoices(ctx context.Context, r *Riddle, faulted *Recording) (complete bool, err error) {
	random := d.stream(choiceStream, r.Truth.Name())
	rivals, err := d.nearestRivals(ctx, r, faulted, random)
	if err != nil {
		return false, err
	}
	choose := d.wrongCauses
	if len(r.Truth) > 1 {
		choose = d.wrongPairs
	}
	wrong, err := choose(ctx, d.refuting(r, faulted), rivals)
	if err != nil || len(wrong) < choiceCount-1 {
		return false, err
	}
	all := []Hypothesis{r.Truth}
	r.Causes = []Choice{{Name: r.Truth.Name(), Text: r.Truth.What()}}
	for i := range wrong {
		all = append(all, wrong[i].Hypothesis)
		r.Causes = append(r.Causes, wrong[i].choice)
	}
	for i := range rivals {
		all = append(all, Hypothesis{rivals[i].in})
	}
	r.Remedies = remedies(all, random)
	shuffle(r.Causes, random)
	return true, nil
}

// nearestRivals are those that show something, the nearest first. Of those at the same distance, as where none shows in the
// signals of the truth, those of its group come first, then chance says.
func (d *drawing) nearestRivals(ctx context.Context, r *Riddle, faulted *Recording, random *rand.Rand) ([]rival, error) {
	rivals := d.rivals(r.Truth)
	if _, ok := d.nominal.Program(); !ok {
		shuffle(rivals, random)
		rivals = rivals[:min(len(rivals), outsideRivals)]
	}
	rivals, err := d.measure(ctx, r.Truth, faulted, rivals)
	slices.SortStableFunc(rivals, func(a, b rival) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.ofOtherGroup(r), b.ofOtherGroup(r)), cmp.Compare(a.tie, b.tie))
	})
	return rivals, err
}

// wrongCause is a hypothesis that was refuted.
type wrongCause struct {
	Hypothesis
	choice Choice
	run    *Recording
}

// wrongCauses takes those rivals whose runs are nearest to that of the truth and can still be told from it. None has
// the symptom of the true one, nor that of another one: of two with the same symptom neither can be true, which would
// reveal both.
func (d *drawing) wrongCauses(ctx context.Context, u *refuting, rivals []rival) ([]wrongCause, error) {
	list, err := d.wrongCausesBy(ctx, u, rivals, d.fitsBeside)
	if d.level != Masked || err != nil || len(list) == choiceCount-1 {
		return list, err
	}
	return d.wrongCausesBy(ctx, u, rivals, d.differsBeside) // few faults are masked: better an answer alone in its group than no riddle
}

// wrongCausesBy takes the nearest of the rivals that may stand beside those that were taken.
func (d *drawing) wrongCausesBy(ctx context.Context, u *refuting, rivals []rival, fits func(Hypothesis, []wrongCause, *catalogue.Entry) bool) ([]wrongCause, error) {
	var list []wrongCause
	for i := range rivals {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		x := rivals[i].Hypothesis
		if len(list) == choiceCount-1 || !fits(u.of.Truth, list, &x[0].Entry) {
			continue
		}
		wrong, err := u.refuted(x)
		if err != nil {
			return nil, err
		}
		if wrong != nil && wrong.apartInGroup(list) {
			list = append(list, *wrong)
		}
	}
	return list, nil
}

// apartInGroup is whether the run of a wrong cause can be told from those that were taken of its group. Of two that cannot
// be told apart neither could be right.
func (w *wrongCause) apartInGroup(taken []wrongCause) bool {
	return !slices.ContainsFunc(taken, func(other wrongCause) bool {
		return other.Hypothesis[0].Entry.Group == w.Hypothesis[0].Entry.Group && !apart(newReference(other.run), w.run)
	})
}

// fitsBeside is whether a fault may stand beside the true one and those that were taken, so that in the end no answer is
// the only one of its group; of the level [Data] the groups are wrong data and all others, three of each.
func (d *drawing) fitsBeside(truth Hypothesis, taken []wrongCause, f *catalogue.Entry) bool {
	groups := map[string]int{truth[0].Entry.Group: 1}
	for i := range taken {
		groups[taken[i].Hypothesis[0].Entry.Group]++
	}
	groups[f.Group]++
	return d.differsBeside(truth, taken, f) && (d.level == Data || alone(groups) <= choiceCount-2-len(taken))
}

// differsBeside is whether a fault has another symptom than those that were taken, and is not the fourth of its kind.
func (d *drawing) differsBeside(truth Hypothesis, taken []wrongCause, f *catalogue.Entry) bool {
	sameKind := 1
	if isData(&truth[0].Entry) == isData(f) {
		sameKind++
	}
	for i := range taken {
		other := &taken[i].Hypothesis[0].Entry
		if sameSymptom(other, f) {
			return false
		}
		if isData(other) == isData(f) {
			sameKind++
		}
	}
	return d.level != Data || sameKind <= choiceCount/2
}

// alone counts the groups with one answer only, which can be told by that.
func alone(groups map[string]int) (n int) {
	for _, size := range groups {
		if size == 1 {
			n++
		}
	}
	return n
}

// refuting makes wrong answers to a riddle.
type refuting struct {
	d     *drawing
	of    *Riddle
	truth *reference
	trace []float64              // of the truth
	known map[string]*wrongCause // by the faults and their moments, nil for those that cannot be refuted
}

func (d *drawing) refuting(of *Riddle, faulted *Recording) *refuting {
	return &refuting{d, of, newReference(faulted), d.healthy.trace(faulted), map[string]*wrongCause{}}
}

// refuted makes an answer of a hypothesis that differs from the truth in what is to be seen, whatever its severity;
// nil for one that cannot be refuted, as it would not be wrong.
func (u *refuting) refuted(h Hypothesis) (*wrongCause, error) {
	name, key := h.Name(), h.key()
	if c, ok := u.known[key]; ok {
		return c, nil
	}
	u.known[key] = nil
	near, err := u.nearest(h)
	if near == nil || err != nil {
		return nil, err
	}
	made := near.c
	made.Scenario.Scenario = fmt.Sprintf("riddle-%s-%d-%s", u.of.Level, u.of.Seed, strings.ReplaceAll(name, joint, "-and-"))
	made.Scenario.Title = name + " in place of the answer of riddle " + strconv.FormatUint(u.of.Seed, 10)
	made.Scenario.Teaches, made.Scenario.Remedy = "", ""
	wrong := &wrongCause{h, Choice{Name: name, Text: h.What(), Why: u.whyNot(name, near.run), Case: made, Data: near.of.data(u.d.nominal)}, near.run}
	if len(h) > 1 { // pairs are not held against each other
		u.d.reuse(near.run)
		wrong.run = nil
	}
	u.known[key] = wrong
	return wrong, nil
}

// whyNot is what speaks against a cause whose run is apart from that of the truth.
func (u *refuting) whyNot(name string, run *Recording) string {
	const here = "in this run"
	if v, ok := u.truth.visible(run); ok {
		return v.Text(here, "with "+name)
	}
	v, _ := newReference(run).visible(u.truth.Recording)
	return v.Text("with "+name, here)
}

// remedies draws the remedies to choose from: first those of the causes, the right one among
// them, then those of the next nearest ones, then any.
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
		if len(list) < choiceCount && !slices.ContainsFunc(list, func(other Choice) bool { return other.Name == name }) {
			list = append(list, c)
		}
	}
	shuffle(list, random)
	return list
}

func shuffle[T any](list []T, random *rand.Rand) {
	random.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}
