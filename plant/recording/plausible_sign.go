package recording

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"holdbench/plant/problem"
)

// turnedRound is what --columns has for a channel with the other sign.
func (c *Channel) turnedRound() string {
	sign := "-"
	if c.Turned {
		sign = ""
	}
	text := c.Signal + "=" + sign + quotedName(c.Column)
	if strings.ContainsAny(text, ` "*()[]$&;|<>`) {
		return "'" + text + "'"
	}
	return text
}

// quotedName is a column as --columns names it.
func quotedName(name string) string {
	if _, err := strconv.Atoi(strings.TrimPrefix(name, "#")); err == nil && name[0] == '#' {
		return name
	}
	if strings.ContainsAny(name, " ,=*+-#") {
		return `"` + name + `"`
	}
	return name
}

// doubtHolding compares the torque at rest with an open brake with that which holds the load. It is the sign that
// makes the torque right, 0 if that is not known.
func (r *Recording) doubtHolding(list *problem.List, parts []part, l Limits) float64 {
	c, _ := r.force(l)
	torques := holding(parts)
	if c == nil || !l.holds() || len(torques) < fewest {
		return 0
	}
	slices.Sort(torques)
	torque, sign := torques[len(torques)/2], 1.0
	upwards := math.Copysign(1, l.HoldLowNM)
	opposite := torques[len(torques)*9/10]*upwards < 0 && torques[len(torques)/10]*upwards < 0
	milli := !l.carries(torque) && l.carries(torque/1000)
	text := []string{}
	if opposite && (milli || l.carries(torque)) {
		sign = -1
		text = append(text, "has likely the opposite sign, as with --columns "+c.turnedRound())
	}
	if milli {
		text = append(text, "is likely in m"+strings.ReplaceAll(c.Unit, "·", "")+", as with --units "+c.Signal+"=m"+strings.ReplaceAll(c.Unit, "·", ""))
	}
	switch {
	case len(text) > 0:
		if milli && inList(*list, c.Signal) {
			*list = slices.DeleteFunc(*list, func(p problem.Problem) bool { return p.Path == c.Signal && !p.Warning }) // this says it better
		}
		list.Add(c.Signal, "holds the load at rest with %s N·m, and the load torque of the axis is %s; the column %q %s", short(torque), l.holdText(), c.Column, strings.Join(text, ", and "))
	default:
		l.warnHolding(list, c, torque)
	}
	if !l.carries(torque) && !milli {
		return 0
	}
	return sign
}

func inList(list problem.List, path string) bool {
	return slices.ContainsFunc(list, func(p problem.Problem) bool { return p.Path == path && !p.Warning })
}

// holding are the torques at rest with an open brake.
func holding(parts []part) []float64 {
	var torques []float64
	for i := range parts {
		p := &parts[i]
		isOpen := p.feedback == open && p.command != closed || p.command == open && p.feedback != closed
		if isOpen && p.rests() && !math.IsNaN(p.torque) {
			torques = append(torques, p.torque)
		}
	}
	return torques
}

// warnHolding warns of a torque that a torque constant or a load can explain, too.
func (l Limits) warnHolding(list *problem.List, c *Channel, torque float64) {
	if l.HoldVaries || l.HoldLowNM != l.HoldHighNM {
		return
	}
	k := torque / l.HoldLowNM
	for _, other := range []struct {
		signal, likely string
		factor         float64
	}{{"current_rms_a", "an amplitude", math.Sqrt2}, {"current_amp_a", "an rms value", 1 / math.Sqrt2}} {
		if c.Signal == other.signal && math.Abs(k/other.factor-1) < 0.1 {
			list.Warn(c.Signal, "holds the load at rest with %s N·m, and the load torque of the axis is %s: the factor is %s; the column %q may be %s, or the load or the torque constant another", short(torque), l.holdText(), short(k), c.Column, other.likely)
		}
	}
}

func (l Limits) holdText() string {
	if short(l.HoldLowNM) == short(l.HoldHighNM) {
		return short(l.HoldLowNM) + " N·m"
	}
	return short(l.HoldLowNM) + " to " + short(l.HoldHighNM) + " N·m"
}

// doubtDirection finds a position with the other sign than the torque: with an open brake T = T_load + J·a + T_f·sgn(v),
// and neither inertia J nor friction T_f can be negative (Newton's second law, with Coulomb friction). It is done
// where the load torque is the same everywhere.
func (r *Recording) doubtDirection(list *problem.List, parts []part, sign float64, l Limits) {
	if sign == 0 || l.HoldVaries {
		return
	}
	var torque, acceleration, direction []float64
	for i := 1; i+1 < len(parts); i++ {
		before, p, after := &parts[i-1], &parts[i], &parts[i+1]
		if p.rests() || p.feedback == closed || p.command == closed || math.IsNaN(p.torque) || after.time-before.time > 4*partSeconds {
			continue
		}
		torque = append(torque, sign*p.torque)
		acceleration = append(acceleration, (after.turned/after.seconds-before.turned/before.seconds)/(after.time-before.time))
		direction = append(direction, math.Copysign(1, p.turned))
	}
	if len(torque) < 10 || !fallsWith(torque, acceleration, direction) {
		return
	}
	for _, signal := range []string{"angle_rad", "position_mm", "position_deg"} {
		if c := r.Channel(signal); c != nil {
			list.Add(signal, "accelerates upwards where the torque is less, and downwards where it is more; the column %q has likely the opposite sign, as with --columns %s", c.Column, c.turnedRound())
			return
		}
	}
}

// fallsWith is whether y is explained by a and b for more than half, with negative factors: least squares
// y = y0 + ka·a + kb·b.
func fallsWith(y, a, b []float64) bool {
	meanY, meanA, meanB := mean(y), mean(a), mean(b)
	var yy, ay, by, aa, ab, bb float64
	for i := range y {
		dy, da, db := y[i]-meanY, a[i]-meanA, b[i]-meanB
		yy, ay, by, aa, ab, bb = yy+float64(dy*dy), ay+float64(da*dy), by+float64(db*dy), aa+float64(da*da), ab+float64(da*db), bb+float64(db*db)
	}
	det := float64(aa*bb) - float64(ab*ab)
	if yy == 0 || det <= 1e-6*aa*bb {
		return false
	}
	ka, kb := (float64(ay*bb)-float64(by*ab))/det, (float64(by*aa)-float64(ay*ab))/det
	byA, byB := float64(ka*ay), float64(kb*by) // parts of the sum of squares
	explained := byA + byB
	negative := func(k, part float64) bool { return k < 0 || math.Abs(part) < 0.05*explained }
	return explained > 0.5*yy && negative(ka, byA) && negative(kb, byB) && min(ka, kb) < 0
}
