package st

import (
	"math"
	"math/big"
)

// literal halves and doubles a number, and turns TRUE and FALSE round. A zero becomes one.
func (m *mutator) literal(l *literal) {
	prefix := ""
	if l.typed != "" {
		prefix = l.typed + "#"
	}
	switch l.kind {
	case tokInteger:
		for _, now := range wholeChanges(l.value.whole) {
			m.doubtful(ConstantChanged, l.at, prefix+now)
		}
	case tokReal:
		for _, now := range realChanges(l.value.real) {
			m.change(ConstantChanged, l.at, prefix+now, math.Abs(l.value.real) > math.MaxFloat32/2)
		}
	case tokDuration:
		for _, now := range timeChanges(l.value.integer) {
			m.add(TimeChanged, l.at, now)
		}
	case tokKeyword:
		now := "TRUE"
		if l.value.integer == 1 {
			now = "FALSE"
		}
		m.add(ConstantChanged, l.at, prefix+now)
	}
}

func wholeChanges(v *big.Int) []string {
	if v.Sign() == 0 {
		return []string{"1"}
	}
	half := new(big.Int).Quo(v, big.NewInt(2))
	double := new(big.Int).Mul(v, big.NewInt(2))
	return []string{half.String(), double.String()}
}

func realChanges(v float64) []string {
	if v == 0 {
		return []string{"1.0"}
	}
	list := []string{string(appendReal(nil, v/2, Lreal))}
	if !math.IsInf(v*2, 0) {
		list = append(list, string(appendReal(nil, v*2, Lreal)))
	}
	return list
}

func timeChanges(ns int64) []string {
	if ns == 0 {
		return []string{"T#1s"}
	}
	list := []string{string(appendDuration(nil, ns/2))}
	if ns*2/2 == ns {
		list = append(list, string(appendDuration(nil, ns*2)))
	}
	return list
}
