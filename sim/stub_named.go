package sim

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"holdbench/plant"
)

type NamedFault struct {
	Fault  CatalogueFault
	Number float64
	When   Moment
}

func (n NamedFault) String() string {
	t := n.Fault.Name
	if n.Fault.Severity != nil {
		t += "=" + strconv.FormatFloat(n.Number, 'g', -1, 64)
	}
	if n.When.State != "" {
		t += "@" + n.When.State
		if n.When.After > 0 {
			t += "+" + n.When.After.String()
		}
	}
	return t
}

func ParseNamedFault(text string) (NamedFault, error) {
	var n NamedFault
	head, at, _ := strings.Cut(text, "@")
	name, num, _ := strings.Cut(head, "=")
	for _, f := range Catalogue() {
		if f.Name == name {
			n.Fault = f
		}
	}
	if n.Fault.Name == "" {
		return n, fmt.Errorf("no %s", name)
	}
	n.Number, _ = strconv.ParseFloat(num, 64)
	st, after, ok := strings.Cut(at, "+")
	n.When.State = st
	if ok {
		n.When.After, _ = time.ParseDuration(after)
	}
	return n, nil
}

func (f *CatalogueFault) WholeRun() bool          { return f.FromStart || f.Group == EngineeringGroup }
func (f *CatalogueFault) FitsCase(c *Case) bool   { return f.Fits(&c.Rig) }
func (f *CatalogueFault) At(r *plant.Rig, number float64, when Moment) Fault {
	return Fault{When: &when, Set: f.Values(r, number)}
}
func (n NamedFault) AddTo(s *Scenario, r *plant.Rig) {
	s.Faults = append(s.Faults[:len(s.Faults):len(s.Faults)], n.Fault.At(r, n.Number, n.When))
}

var _ = time.Second

func (f *CatalogueFault) Sets(r *plant.Rig, number float64) []string { return sortedKeys(f.Values(r, number)) }
