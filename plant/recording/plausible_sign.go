package recording

import (
	"cmp"
	"fmt"
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
	return quotedFlag(c.Signal + "=" + sign + quotedName(c.Column))
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
	torque, upwards := torques[len(torques)/2], math.Copysign(1, l.HoldLowNM)
	least, greatest := torques[len(torques)/10]*upwards, torques[len(torques)*9/10]*upwards
	opposite := max(least, greatest) < 0
	unit := ""
	if !l.carries(torque) {
		unit = c.unitWhere(func(ratio float64) bool { return ratio != 1 && l.carries(torque*ratio) })
	}
	text := []string{}
	if opposite && (unit != "" || l.carries(torque)) {
		text = append(text, "has likely the opposite sign, as with --columns "+c.turnedRound())
	}
	if unit != "" {
		text = append(text, fmt.Sprintf("is likely in %s, as with --units %s=%s", plainFlag(unit), c.Signal, plainFlag(unit)))
	}
	switch {
	case len(text) > 0:
		if unit != "" && inList(*list, c.Signal) {
			*list = slices.DeleteFunc(*list, func(p problem.Problem) bool { return p.Path == c.Signal && !p.Warning }) // this says it better
		}
		list.Add(c.Signal, "holds the load at rest with %s N·m, and the load torque of the axis is %s; the column %q %s", short(torque), l.holdText(), c.Column, strings.Join(text, ", and "))
	case (l.scaled(torque, travelTorque(parts)) || l.neverLoaded(parts)) && !inList(*list, c.Signal):
		l.doubtScale(list, c, torque)
	default:
		l.warnHolding(list, c, torque)
	}
	switch {
	case opposite && len(text) > 0:
		return -1
	case !opposite && torque*upwards > 0: // whatever its scale
		return 1
	}
	return 0
}

// farOff is the factor from which a torque at rest contradicts the axis: no data sheet is wrong by it.
const farOff = 7.0

// scaled is whether the torque at rest is far from that which holds the load. One that is too small is so in travel as
// well: a load that lies on a support asks for no torque at rest.
func (l Limits) scaled(rest, travel float64) bool {
	if math.Abs(rest) > math.Abs(l.HoldLowNM) {
		return l.outside(rest)
	}
	return l.outside(rest) && l.outside(travel) && rest*travel > 0
}

// neverLoaded is whether no torque of a recording comes near that which holds the load: not at rest, in travel, or in a press.
func (l Limits) neverLoaded(parts []part) bool {
	greatest := 0.0
	for i := range parts {
		if torque := math.Abs(parts[i].torque); torque > greatest { // NaN is not
			greatest = torque
		}
	}
	return greatest > 0 && greatest < math.Abs(l.HoldLowNM)/2 && l.outside(greatest)
}

// outside is whether a torque at rest is less than half or more than twice of that which holds the load, by more than
// friction and counterbalance explain.
func (l Limits) outside(torque float64) bool {
	low, high := min(math.Abs(l.HoldLowNM), math.Abs(l.HoldHighNM)), max(math.Abs(l.HoldLowNM), math.Abs(l.HoldHighNM))
	const unknown = 2 // factor within which it is known
	size, unsure := math.Abs(torque), float64(unknown*l.UnsureNM)
	return size < float64(low/2)-unsure || size > float64(2*high)+unsure
}

// travelTorque is the torque in travel with an open brake, without friction: the mean of the medians up and down. NaN
// without travel in both directions.
func travelTorque(parts []part) float64 {
	var up, down []float64
	for i := range parts {
		p := &parts[i]
		switch {
		case !p.isOpen() || p.rests() || math.IsNaN(p.torque):
		case p.turned > 0:
			up = append(up, p.torque)
		default:
			down = append(down, p.torque)
		}
	}
	if min(len(up), len(down)) < fewest {
		return math.NaN()
	}
	slices.Sort(up)
	slices.Sort(down)
	return (up[len(up)/2] + down[len(down)/2]) / 2
}

// doubtScale says by which factor the torque at rest differs from the load torque, where no unit of the column explains it.
func (l Limits) doubtScale(list *problem.List, c *Channel, torque float64) {
	times := math.Abs(torque) / math.Sqrt(math.Abs(l.HoldLowNM*l.HoldHighNM))
	other := "load.mass_kg, the payload"
	if c.Signal != "torque_nm" {
		other += " or motor.torque_constant_nm_per_rms_a"
	}
	text := fmt.Sprintf("holds the load at rest with %s N·m, and the load torque of the axis is %s: it is %s times that; the scale of the column %q is likely wrong, or %s of the rig", short(torque), l.holdText(), short(times), c.Column, other)
	if times < 1 {
		text += ", or the load lies on a support"
	}
	if times > farOff {
		list.Add(c.Signal, "%s", text)
		return
	}
	list.Warn(c.Signal, "%s", text)
}

func inList(list problem.List, path string) bool {
	return slices.ContainsFunc(list, func(p problem.Problem) bool { return p.Path == path && !p.Warning })
}

// holding are the torques at rest with an open brake.
func holding(parts []part) []float64 {
	var torques []float64
	for i := range parts {
		p := &parts[i]
		if p.isOpen() && p.rests() && !math.IsNaN(p.torque) {
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

// doubtPosition finds a position with the other sign than the torque, by its travel or by the wind-up of the closed
// brake, and says where neither shows it. The sign of the torque is the one that makes it right, 0 if that is not known.
func (r *Recording) doubtPosition(list *problem.List, parts []part, sign float64, l Limits) {
	c, _ := r.force(l)
	position := r.position(l)
	const thin = 10 // parts: a recording that shows nothing
	if c == nil || position == nil || len(parts) < thin {
		return
	}
	because, fits := l.travelled(parts, sign)
	if fits == 0 {
		because, fits = l.woundUp(parts, cmp.Or(sign, 1))
	}
	switch {
	case fits > 0, fits == 0 && (l.BrakeNMPerRad == 0 || slices.ContainsFunc(*list, func(p problem.Problem) bool { return !p.Warning })):
	case fits == 0:
		list.Warn(position.Signal, "has a sign that could not be checked against that of %s: the recording has neither enough travel with the open brake nor a press that winds the closed brake up; make sure that positive is up", c.Signal)
	case sign == 0:
		list.Add(position.Signal, "%s; the column %q or %q has likely the opposite sign, as with --columns %s", because, position.Column, c.Column, position.turnedRound())
	default:
		list.Add(position.Signal, "%s; the column %q has likely the opposite sign, as with --columns %s", because, position.Column, position.turnedRound())
	}
}

// position is the channel of the position that is used, nil without one.
func (r *Recording) position(l Limits) *Channel {
	for _, signal := range []string{"angle_rad", "position_mm", "position_deg"} {
		if signal == "position_mm" && l.MMPerRad == 0 || signal == "position_deg" && l.DegPerRad == 0 {
			continue
		}
		if c := r.Channel(signal); c != nil {
			return c
		}
	}
	return nil
}

// travelled compares position and torque in travel: with an open brake T = T_load + J·a + T_f·sgn(v), and neither
// inertia J nor friction T_f can be negative (Newton's second law, with Coulomb friction). It is done where the load
// torque is the same everywhere. 1: the signs fit, -1: they do not, 0: not known.
func (l Limits) travelled(parts []part, sign float64) (because string, fits int) {
	if sign == 0 || l.HoldVaries {
		return "", 0
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
	const least, leastToRefuse = 5, 10
	switch {
	case len(torque) < least:
		return "", 0
	case len(torque) >= leastToRefuse && fallsWith(torque, acceleration, direction):
		return "accelerates upwards where the torque is less, and downwards where it is more", -1
	}
	for i := range torque {
		torque[i] = -torque[i]
	}
	if fallsWith(torque, acceleration, direction) {
		return "", 1
	}
	return "", 0
}

// woundUp compares position and torque with the closed brake, a spring of stiffness k: θ = θ0 + (T − T_load)/k, and k
// cannot be negative (Hooke's law). It is conclusive where the turn for a newton metre is near that of the rig: a
// brake that slips, or a drive that holds the position, gives another. 1: the signs fit, -1: they do not, 0: not known.
func (l Limits) woundUp(parts []part, sign float64) (because string, fits int) {
	if l.BrakeNMPerRad == 0 {
		return "", 0
	}
	var tt, ta, aa float64
	n := 0
	for from := 0; from < len(parts); {
		to := from
		var torque, angle []float64
		for ; to < len(parts) && parts[to].isClosed(); to++ {
			if p := &parts[to]; !math.IsNaN(p.torque) {
				torque, angle = append(torque, sign*p.torque), append(angle, p.angle)
			}
		}
		if len(torque) >= fewest {
			meanT, meanA := mean(torque), mean(angle)
			for i := range torque {
				dt, da := torque[i]-meanT, angle[i]-meanA
				tt, ta, aa, n = tt+float64(dt*dt), ta+float64(dt*da), aa+float64(da*da), n+1
			}
		}
		from = to + 1
	}
	const least, alike, near = 6, 0.8, 5
	slope, correlation := ta/tt, ta/math.Sqrt(tt*aa)
	times := math.Abs(slope) * l.BrakeNMPerRad
	if n < least || !(math.Abs(correlation) > alike) || times > near || times < 1.0/near {
		return "", 0
	}
	if slope < 0 {
		return "turns downwards where the closed brake is pressed upwards, and upwards where it is pressed downwards", -1
	}
	return "", 1
}

// isOpen is whether a part has an open brake throughout.
func (p *part) isOpen() bool {
	return p.feedback == open && p.command != closed || p.command == open && p.feedback != closed
}

// isClosed is whether a part has a closed brake throughout.
func (p *part) isClosed() bool {
	return p.feedback == closed && p.command != open || p.command == closed && p.feedback != open
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
	if bb == 0 && aa > 0 { // one direction alone tells nothing of friction
		return ay < 0 && ay*ay/aa > 0.5*yy
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
