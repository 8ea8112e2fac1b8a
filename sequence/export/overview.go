package export

import "strings"

// numbersOnly leaves out of a diagram what the tables of transitions and of states have.
func (d *diagram) numbersOnly() {
	for _, g := range d.groups {
		for i := range d.nodes[g] {
			n := &d.nodes[g][i]
			n.note = ""
			numberArrows(n.arrows)
			numberArrows(n.exits)
		}
	}
	for i := range d.any {
		w := &d.any[i]
		w.label, w.numberOnly = numberIn(w.label), true
	}
}

// numberArrows joins the numbers of all ways to a state into one label.
func numberArrows(arrows []arrow) {
	for i := range arrows {
		var numbers []string
		for _, label := range arrows[i].labels {
			numbers = append(numbers, numberIn(label))
		}
		arrows[i].labels = []string{strings.Join(numbers, ", ")}
	}
}

// numberIn is the number at the beginning of a label.
func numberIn(label string) string {
	number, _, _ := strings.Cut(label, " ")
	return number
}
