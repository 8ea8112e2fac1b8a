package training

import (
	"math/rand/v2"
	"slices"

	"holdbench/sim/catalogue"
)

// The number of answers, and of wrong causes from the group of the true one.
const (
	choiceCount    = 6
	sameGroupCount = 2
)

// fillChoices draws the answers of a riddle.
func (d *drawing) fillChoices(r *Riddle, faulted *Recording) error {
	random := rand.New(rand.NewPCG(d.seed, choiceStream))
	others, err := d.wrongCauses(r, faulted, random)
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

// wrongCauses draws the wrong causes: two of the group of the true one, the rest from all groups.
// None has the symptom of the true one, nor that of another one: of two with the same symptom
// neither can be true, which would reveal both.
func (d *drawing) wrongCauses(r *Riddle, faulted *Recording, random *rand.Rand) ([]catalogue.Entry, error) {
	rest := slices.DeleteFunc(slices.Clone(d.faults), func(f catalogue.Entry) bool {
		return f.Name == r.Fault.Name || sameSymptom(&f, &r.Fault)
	})
	shuffle(rest, random)
	sameGroup := func(f catalogue.Entry) bool { return f.Group == r.Fault.Group }
	truth := newReference(faulted)
	var list []catalogue.Entry
	take := func(limit int, wanted func(catalogue.Entry) bool) error {
		for i := 0; i < len(rest) && len(list) < limit; {
			if !wanted(rest[i]) {
				i++
				continue
			}
			f := rest[i]
			rest = slices.Delete(rest, i, i+1)
			if slices.ContainsFunc(list, func(other catalogue.Entry) bool { return sameSymptom(&f, &other) }) {
				continue
			}
			apart, err := d.distinguishable(r, truth, &f)
			if err != nil {
				return err
			}
			if apart {
				list = append(list, f)
			}
		}
		return nil
	}
	if err := take(sameGroupCount, sameGroup); err != nil {
		return nil, err
	}
	return list, take(choiceCount-1, func(catalogue.Entry) bool { return true })
}

// sameSymptom is whether a controller cannot distinguish two faults.
func sameSymptom(a, b *catalogue.Entry) bool { return a.Symptom != "" && a.Symptom == b.Symptom }

// distinguishable is whether a wrong cause, at the moment of the true one, differs from it in what
// the sequence reads; an answer that cannot be refuted would not be wrong.
func (d *drawing) distinguishable(r *Riddle, truth *reference, f *catalogue.Entry) (bool, error) {
	severities := []float64{0}
	if f.Scale != nil {
		severities = []float64{f.Scale.Usual, f.Scale.Severe}
	}
	for _, severity := range severities {
		other, err := Record(withFault(d.nominal, f, severity, r.When))
		if err != nil {
			return false, err
		}
		// The noise of one run may hide the other, so each is compared with the other.
		if !truth.distinguishes(other) && !newReference(other).distinguishes(truth.Recording) {
			return false, nil
		}
	}
	return true, nil
}

// remedies draws the remedies to choose from: first those of the causes, the right one among
// them, then any.
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
