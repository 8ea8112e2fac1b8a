package compare

import (
	"holdbench/sim"
)

// Path is the states of both runs: the common beginning, where they part, and whether they join again.
type Path struct {
	Common []Stay   `json:"common"` // entered by both, in the same order
	OnlyA  []string `json:"only_a"` // states that A enters behind them
	OnlyB  []string `json:"only_b"`
	Joined []Stay   `json:"joined"` // entered by both up to the end of each run
}

// Stay is a visit of both runs to a state. The last stay of a run lasts until its end.
type Stay struct {
	State    string  `json:"state"`
	EnteredA float64 `json:"entered_a_s"`
	EnteredB float64 `json:"entered_b_s"`
	StayA    float64 `json:"stay_a_s"`
	StayB    float64 `json:"stay_b_s"`
}

// Same is whether both runs enter the same states in the same order.
func (p *Path) Same() bool { return len(p.OnlyA) == 0 && len(p.OnlyB) == 0 }

// pathOf is the longest common beginning of two paths, and of what is left the longest common end.
func pathOf(a, b []sim.Visit) Path {
	p := Path{Common: []Stay{}, OnlyA: []string{}, OnlyB: []string{}, Joined: []Stay{}}
	n := 0
	for n < min(len(a), len(b)) && a[n].State == b[n].State {
		p.Common = append(p.Common, stayOf(&a[n], &b[n]))
		n++
	}
	a, b = a[n:], b[n:]
	m := 0
	for m < min(len(a), len(b)) && a[len(a)-1-m].State == b[len(b)-1-m].State {
		m++
	}
	for _, v := range a[:len(a)-m] {
		p.OnlyA = append(p.OnlyA, v.State)
	}
	for _, v := range b[:len(b)-m] {
		p.OnlyB = append(p.OnlyB, v.State)
	}
	for i := range m {
		p.Joined = append(p.Joined, stayOf(&a[len(a)-m+i], &b[len(b)-m+i]))
	}
	return p
}

func stayOf(a, b *sim.Visit) Stay {
	return Stay{a.State, a.At.Seconds(), b.At.Seconds(), a.Stay.Seconds(), b.Stay.Seconds()}
}
