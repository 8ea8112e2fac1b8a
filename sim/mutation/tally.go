package mutation

import "slices"

// Count is the number of mutants of one operator, by outcome.
type Count struct {
	Operator                                      Operator // empty for the sum
	Made, Refused, Detected, Equivalent, Survived int
}

// Tally counts the outcomes by operator, and all together: those of a document, in the order of
// [Operators], then those of a program as far as there are any.
func Tally(outcomes []Outcome) (byOperator []Count, all Count) {
	for _, op := range allOperators() {
		c := Count{Operator: op}
		for _, o := range outcomes {
			if o.Mutant.Operator == op {
				c.add(o.Status)
				all.add(o.Status)
			}
		}
		if c.Made > 0 || slices.Contains(Operators(), op) {
			byOperator = append(byOperator, c)
		}
	}
	return byOperator, all
}

func (c *Count) add(f Status) {
	c.Made++
	switch f {
	case Refused:
		c.Refused++
	case Detected:
		c.Detected++
	case Equivalent:
		c.Equivalent++
	case Survived:
		c.Survived++
	}
}

// Relevant is the number of mutants that a scenario should detect: those that vet does not
// refuse and that are not equivalent.
func (c *Count) Relevant() int { return c.Made - c.Refused - c.Equivalent }

// DetectedShare is the share of those that was detected, from 0 to 1; 1 if there are none.
func (c *Count) DetectedShare() float64 {
	if c.Relevant() == 0 {
		return 1
	}
	return float64(c.Detected) / float64(c.Relevant())
}
