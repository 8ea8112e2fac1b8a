package mutation

// Count is how many mutants of one kind came to which end.
type Count struct {
	Operator                                     Operator // empty for the sum
	Made, Refused, Noticed, Equivalent, Survived int
}

// Tally counts the outcomes by operator, in the order of [Operators], and all together.
func Tally(outcomes []Outcome) (byOperator []Count, all Count) {
	for _, op := range Operators() {
		c := Count{Operator: op}
		for _, o := range outcomes {
			if o.Mutant.Operator == op {
				c.add(o.Fate)
				all.add(o.Fate)
			}
		}
		byOperator = append(byOperator, c)
	}
	return byOperator, all
}

func (c *Count) add(f Fate) {
	c.Made++
	switch f {
	case Refused:
		c.Refused++
	case Noticed:
		c.Noticed++
	case Equivalent:
		c.Equivalent++
	case Survived:
		c.Survived++
	}
}

// Countable is the number of mutants that a scenario should notice: those that vet does
// not refuse and that are not equivalent.
func (c *Count) Countable() int { return c.Made - c.Refused - c.Equivalent }

// Share is the part of those that was noticed, from 0 to 1; 1 if there are none.
func (c *Count) Share() float64 {
	if c.Countable() == 0 {
		return 1
	}
	return float64(c.Noticed) / float64(c.Countable())
}
