package training

import (
	"math/rand/v2"
	"slices"

	"holdbench/sim/catalogue"
)

// How many answers there are, and how many of the wrong causes are of the true one's
// group.
const (
	choices   = 6
	sameGroup = 2
)

// choose fills in the answers of a riddle.
func (d *drawing) choose(r *Riddle, faulted *Recording) error {
	random := rand.New(rand.NewPCG(d.seed, choiceStream))
	others, err := d.others(r, faulted, random)
	if err != nil {
		return err
	}
	causes := append([]catalogue.Entry{r.Fault}, others...)
	r.Remedies = remedies(causes, random)
	for i := range causes {
		r.Causes = append(r.Causes, Choice{causes[i].Name, causes[i].What})
	}
	shuffle(r.Causes, random)
	return nil
}

// others draws the wrong causes: two of the true one's group, the rest from all groups.
// None looks like the true one, nor like another: of two that look alike neither can be
// true, which would give both away.
func (d *drawing) others(r *Riddle, faulted *Recording, random *rand.Rand) ([]catalogue.Entry, error) {
	rest := slices.DeleteFunc(slices.Clone(d.faults), func(f catalogue.Entry) bool {
		return f.Name == r.Fault.Name || alike(&f, &r.Fault)
	})
	shuffle(rest, random)
	near := func(f catalogue.Entry) bool { return f.Group == r.Fault.Group }
	truth := newReference(faulted)
	var list []catalogue.Entry
	take := func(most int, wanted func(catalogue.Entry) bool) error {
		for i := 0; i < len(rest) && len(list) < most; {
			if !wanted(rest[i]) {
				i++
				continue
			}
			f := rest[i]
			rest = slices.Delete(rest, i, i+1)
			if slices.ContainsFunc(list, func(other catalogue.Entry) bool { return alike(&f, &other) }) {
				continue
			}
			apart, err := d.apart(r, truth, &f)
			if err != nil {
				return err
			}
			if apart {
				list = append(list, f)
			}
		}
		return nil
	}
	if err := take(sameGroup, near); err != nil {
		return nil, err
	}
	return list, take(choices-1, func(catalogue.Entry) bool { return true })
}

// alike is whether a controller cannot tell two faults apart.
func alike(a, b *catalogue.Entry) bool { return a.Symptom != "" && a.Symptom == b.Symptom }

// apart is whether a wrong cause, at the moment of the true one, can be told from it by
// what the sequence sees; an answer that cannot be refuted would not be wrong.
func (d *drawing) apart(r *Riddle, truth *reference, f *catalogue.Entry) (bool, error) {
	severities := []float64{0}
	if f.Scale != nil {
		severities = []float64{f.Scale.Usual, f.Scale.Severe}
	}
	for _, severity := range severities {
		other, err := Record(withFault(d.nominal, f, severity, r.When))
		if err != nil {
			return false, err
		}
		// Held against a run that trembles, the other may hide; so each is held against
		// the other.
		if !truth.tells(other) && !newReference(other).tells(truth.Recording) {
			return false, nil
		}
	}
	return true, nil
}

// remedies draws the answers to what is to be done: first those of the causes to choose
// from, the right one at their head, then any.
func remedies(causes []catalogue.Entry, random *rand.Rand) []Choice {
	known := catalogue.Remedies()
	var names []string
	for i := range causes {
		names = append(names, causes[i].Remedy)
	}
	rest := slices.Clone(known)
	shuffle(rest, random)
	for _, r := range rest {
		names = append(names, r.Name)
	}
	var list []Choice
	for _, name := range names {
		i := slices.IndexFunc(known, func(r catalogue.Remedy) bool { return r.Name == name })
		c := Choice{known[i].Name, known[i].Text}
		if len(list) < choices && !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	shuffle(list, random)
	return list
}

func shuffle[T any](list []T, random *rand.Rand) {
	random.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}
