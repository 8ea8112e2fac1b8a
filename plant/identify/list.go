package identify

import (
	"fmt"
	"math"
	"strings"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// What tells a value, for people.
const (
	byTravel      = "travel up and down at constant speed with the brake open"
	byTwoSpeeds   = "travel up and down at two speeds, the higher one at least twice the lower"
	byAccelerate  = "a start and a stop with the drive's acceleration, brake open"
	byMass        = "weigh the moving mass, and give it with --mass-kg, or record the torque of the motor by a transducer as torque_motor_nm"
	byTransducer  = "record torque_motor_nm, and weigh the moving mass, --mass-kg"
	byTwoLoads    = "the same travel with and without payload, in two recordings"
	byPress       = "a slow press against the closed brake in both directions"
	byStop        = "a stop by the brake from speed with the drive off, with the command of the brake in the recording"
	byFastStop    = "a stop by the brake with the drive off while the axis travels in the direction in which the load pulls (down), so that it still moves when the brake has its full torque"
	bySwitch      = "the command of the brake and the signal of its switch, closed and opened at standstill"
	bySlip        = "press until the brake slips, if its maker permits it"
	byLag         = "a step of the current with its command, in a recording of the drive's own rate"
	byRing        = "no manoeuvre, the value of the rig stays: it shows only in the oscillation after a stop by the brake, in a recording faster than ten times the natural frequency of the brake's spring, and identify does not evaluate that"
	byStandstill  = "standstill with the brake closed for some seconds"
	bySlowPress   = "a slower press with a play in the brake, so that the guide slides"
	degreesPerRad = 180 / math.Pi
)

// Names of quantities that follow from several values of the rig.
const (
	loadTorqueName = "load torque"
	inertiaName    = "inertia at the motor shaft"
)

// rigInertia is the inertia at the motor shaft by the rig, with the mass that was weighed.
func (f *fitted) rigInertia(g *gathered) float64 {
	at := *g.rig
	if g.massKG > 0 {
		at.Load.MassKG = g.massKG
	}
	return plant.Derive(&at).InertiaKGM2
}

// values lists the values of the rig, and what follows from several of them.
func (f *fitted) values(g *gathered) []Value {
	list := f.motionValues(g)
	list = append(list, f.pressValues(g)...)
	list = append(list, f.timeValues(g)...)
	return list
}

// value makes a value of an estimate. One of a quantity above 0 whose interval reaches 0 is a bound.
func (f *fitted) value(v Value, e estimate, told bool) Value {
	v.Value, v.Error, v.Low, v.High = e.value, e.err, e.low, e.high
	signed := v.Path == "guide.sliding_nm" && v.High < 0 || v.Path == "" // below 0 it says that the losses in the rig are too large
	switch {
	case !told || !e.told || !finite(e.value) || !finite(e.err) || !finite(e.low) || !finite(e.high):
		v.Standing = NotDetermined
		v.Value, v.Error, v.Low, v.High, v.Source = math.NaN(), math.NaN(), math.NaN(), math.NaN(), ""
	case v.Low <= 0 && !signed:
		v.High = max(v.High, 2*v.Error)
		v.Standing, v.Value, v.Low = AtMost, v.High, 0
	default:
		v.Standing = Fitted
	}
	if field, ok := plant.FindField(v.Path); ok {
		v.Was, _ = field.Number(f.m.rig)
		v.Unit = field.Unit
	}
	return v
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func (f *fitted) motionValues(g *gathered) []Value {
	r := g.rig
	moves := f.m.unknowns[inertia].free
	source := f.source(len(f.m.windows), "windows of travel and acceleration", g)
	first := func(x []float64) load { return f.m.load(x, x[named]) }
	at := *r
	gravity := func(x []float64) float64 {
		at.Load.MassKG = x[named]
		return -plant.LoadTorque(&at, r.Load.StartMM)
	}
	own := func(x []float64) float64 {
		at.Load.MassKG, at.Motor.InertiaKGM2 = x[named], 0
		return x[inertia] - plant.Derive(&at).InertiaKGM2
	}
	of := func(i int) func(x []float64) float64 { return func(x []float64) float64 { return x[i] } }
	constant := func(x []float64) float64 { return x[torqueConstant] / r.Motor.TorqueFactor }
	pairs := moves && g.closed[0].Pairs > 0
	list := []Value{
		f.weighed(g, f.value(Value{Name: loadTorqueName + " at " + position(r), Was: -plant.LoadTorque(r, r.Load.StartMM), Unit: "N·m", Source: source, By: byTravel}, f.of(gravity), pairs)),
		f.mass(g, Value{Path: "load.mass_kg", Name: "moving mass", Source: source, By: byTravel}, pairs),
		f.value(Value{Name: "friction with losses", Unit: "N·m", Source: source, By: byTravel}, f.of(func(x []float64) float64 { l := first(x); return l.friction() }), pairs),
		f.slidingFriction(source, pairs, g),
		f.value(Value{Path: "guide.viscous_nm_s", Name: "viscous friction", Source: source, By: byTwoSpeeds}, f.of(of(viscous)), moves && g.speeds()),
		f.value(Value{Name: inertiaName, Was: f.rigInertia(g), Unit: "kg·m²", Source: source, By: byAccelerate}, f.of(of(inertia)), moves),
		f.value(Value{Path: "motor.inertia_kg_m2", Name: "inertia of the motor, as the rest", Source: source, By: byTravel}, f.of(own), pairs),
		f.late(source, moves),
		f.value(Value{Path: "motor.torque_constant_nm_per_rms_a", Name: "torque constant", Source: f.constantSource(source, g), By: byMass}, f.of(constant), f.m.unknowns[torqueConstant].free),
		f.value(Value{Path: "transmission.efficiency", Name: "efficiency", Source: source, By: byTwoLoads}, f.of(func(x []float64) float64 { return 1 / (1 + x[loss]) }), f.m.unknowns[loss].free),
	}
	if f.m.unknowns[transducer].free {
		list = append(list, f.value(Value{Name: "gain of the torque transducer", Source: source, By: byTransducer}, f.of(of(transducer)), f.tells(transducer)))
	}
	return list
}

// constantSource says by what the torque constant is found.
func (f *fitted) constantSource(source string, g *gathered) string {
	switch measured := f.m.unknowns[transducer].free; {
	case measured && g.massKG > 0:
		return source + ", the weighed mass and a torque transducer"
	case measured:
		return source + problem.Text(", and a torque transducer whose gain is taken as right within %.2g %%", 100*transducerKnown)
	case g.massKG > 0:
		return source + " and the weighed mass"
	}
	return source
}

// slidingFriction is told by one speed only if friction in proportion to the speed leaves something of it.
func (f *fitted) slidingFriction(source string, pairs bool, g *gathered) Value {
	e := f.of(func(x []float64) float64 { return x[sliding] })
	v := Value{Path: "guide.sliding_nm", Name: "sliding friction of the guide", Source: source, By: byTravel}
	if pairs && !g.speeds() {
		v.By, pairs = byTwoSpeeds, e.low > 0 || e.high < 0
	}
	return f.value(v, e, pairs)
}

// late is by how much the current was recorded later than the position. It may be below 0.
func (f *fitted) late(source string, moves bool) Value {
	e := f.of(func(x []float64) float64 { return x[late] })
	v := Value{Name: "lateness of the current", Unit: "s", Source: source, By: byAccelerate}
	return f.value(v, e, moves && f.tells(late))
}

// weighed is a value that the weighed mass gives.
func (f *fitted) weighed(g *gathered, v Value) Value {
	if g.massKG > 0 && v.Standing == Fitted {
		v.Standing, v.Error, v.Low, v.High, v.Source = Weighed, 0, v.Value, v.Value, "weighed mass"
	}
	return v
}

// mass is the moving mass, which may have been weighed.
func (f *fitted) mass(g *gathered, v Value, pairs bool) Value {
	v = f.value(v, f.of(func(x []float64) float64 { return x[named] }), pairs && f.m.unknowns[named].free)
	if g.massKG > 0 {
		v.Standing, v.Value, v.Error, v.Low, v.High, v.Source = Weighed, g.massKG, 0, g.massKG, g.massKG, "weighed"
	}
	return v
}

// speeds is whether there is travel at two speeds, which tell viscous friction.
func (g *gathered) speeds() bool {
	for _, c := range g.closed {
		if c.Speeds {
			return true
		}
	}
	return false
}

func position(r *plant.Rig) string { return problem.Text("%.4g mm", r.Load.StartMM) }

// counted is a number of things.
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// source says from how many rows of which recordings a value is.
func (f *fitted) source(rows int, what string, g *gathered) string {
	if rows == 0 {
		return ""
	}
	names := make([]string, len(g.tracks))
	for i := range g.tracks {
		names[i] = g.tracks[i].name
	}
	if rows == 1 { // once in a recording
		return strings.TrimSpace(what + " in " + strings.Join(names, ", "))
	}
	return fmt.Sprintf("%d %s of %s", rows, what, strings.Join(names, ", "))
}

func (f *fitted) pressValues(g *gathered) []Value {
	r := g.rig
	rows := f.m.count(ofPress)
	source := f.source(rows, "parts of a press", g)
	pressed := f.m.unknowns[stiffness].free && rows > 0
	of := func(i int) func(x []float64) float64 { return func(x []float64) float64 { return x[i] } }
	capacity := f.capacity()
	static, whose := r.Brake.StaticNM, "of the rig"
	if capacity.Standing == Fitted { // the rig that is written has it
		static, whose = capacity.Value, "by the slip"
	}
	windUp := func(x []float64) float64 { return static / x[stiffness] * degreesPerRad }
	both := pressed && f.m.bothWays()
	losses := func(x []float64) float64 {
		l := f.m.load(x, x[named])
		return x[breakaway] - max(l.slidingUp, l.slidingDown) + x[sliding]
	}
	list := []Value{
		f.value(Value{Name: "stiffness of the brake", Unit: "N·m/rad", Source: source, By: byPress}, f.positive(of(stiffness)), pressed),
		f.value(Value{Path: "brake.wind_up_deg", Name: "deflection of the brake at its rated torque", Source: problem.Text("%s, at brake.static_nm %s, %.4g N·m", source, whose, static), By: byPress}, f.positive(windUp), pressed),
		f.value(Value{Path: "brake.play_deg", Name: "play of the brake", Source: source, By: byPress}, f.of(func(x []float64) float64 { return x[play] * degreesPerRad }), both),
		f.guideBreakaway(f.value(Value{Path: "guide.breakaway_nm", Name: "breakaway friction of the guide", Source: source, By: bySlowPress}, f.of(losses), pressed && f.tells(breakaway)), g),
		capacity,
	}
	return append(list, f.value(Value{Path: "brake.damping_ratio", Name: "damping of the brake's spring", By: byRing}, estimate{}, false))
}

// guideBreakaway is at least the sliding friction where no press tells it: friction from rest is not below that in motion.
func (f *fitted) guideBreakaway(v Value, g *gathered) Value {
	if v.Standing != NotDetermined {
		return v
	}
	least := f.slidingFriction("", f.m.unknowns[inertia].free && g.closed[0].Pairs > 0, g)
	if least.Standing == Fitted && least.Low > 0 {
		v.Standing, v.Value, v.Low, v.High = AtLeast, least.Low, least.Low, math.Inf(1)
		v.Source = "guide.sliding_nm, which it is not below; no press made the guide slide from rest"
	}
	return v
}

// bothWays is whether there are parts of a press in both directions, which tell the play.
func (m *model) bothWays() bool {
	up, down := false, false
	v := m.spread(m.full(m.startPoint()))
	for i := range m.presses {
		p := &m.presses[i]
		torque := p.torques(v)
		for _, c := range p.cells {
			up, down = up || torque[c.from] > 0, down || torque[c.from] < 0
		}
	}
	return up && down
}

// capacity is the static torque of the brake: that of the first slip, or else at least the greatest torque that it
// held. Friction of the guide carries its part of the torque, up to its breakaway friction: at a slip the guide has
// moved, so that it is subtracted in full. The interval reaches from the greatest friction to none. The brake holds its
// rated torque times its condition (plant/disc.go), so that the rated torque is what it held over the condition of the rig.
func (f *fitted) capacity() Value {
	v := f.m.spread(f.x)
	guide := v.breakaway
	if e := f.positive(func(x []float64) float64 { return x[breakaway] }); finite(e.high) {
		guide = max(guide, e.high)
	}
	least, most, slipped, at := 0.0, 0.0, false, ""
	for i := range f.m.presses {
		p := &f.m.presses[i]
		torque := p.torques(v)
		low, high := largest(torque), largest(torque)
		if p.slips { // between the last means
			n := len(torque)
			before, after := math.Abs(torque[max(0, n-2*cellMeans)]), math.Abs(torque[n-1])
			low, high = min(before, after), max(before, after)
		}
		switch {
		case p.slips && (!slipped || high < most):
			slipped, at = true, problem.Text("slip at %.4g s", p.t[len(p.t)-1])
		case !p.slips && !slipped && high > most:
			at = problem.Text("press at %.4g s, no slip", p.t[0])
		default:
			continue
		}
		least, most = low, high
	}
	condition := f.m.rig.Brake.Condition
	if condition != 1 {
		at += problem.Text(", with brake.condition of the rig, %.3g", condition)
	}
	rated, most := most > 0, most/condition
	low := max(0, least-guide) / condition
	e := estimate{value: max(low, ((least/condition+most)/2)-v.breakaway/condition), err: (most - low) / math.Sqrt(12), low: low, high: most, told: rated}
	out := f.value(Value{Path: "brake.static_nm", Name: "static torque of the brake", Source: at, By: bySlip}, e, rated && (slipped || low > 0))
	if !slipped && rated && low > 0 {
		out.Standing, out.Value, out.Error, out.High = AtLeast, low, math.NaN(), math.Inf(1)
	}
	return out
}

func (f *fitted) timeValues(g *gathered) []Value {
	r := g.rig
	rows := f.m.count(ofStop)
	source := f.source(rows, "samples of stops by brake", g)
	of := func(i int) func(x []float64) float64 { return func(x []float64) float64 { return x[i] } }
	stopped := len(f.m.stops) > 0
	fast := byFastStop + dropText(r)
	slide := func(x []float64) float64 { return x[brakeSliding] / r.Brake.Condition }
	sum := func(x []float64) float64 { return x[responseDelay] + x[riseTime] }
	timed := Value{Name: "t11 and t12 together", Unit: "s", Source: f.source(min(1, len(f.m.delays)), "command and switch", g), By: bySwitch}
	return []Value{
		f.value(timed, f.switched(sum), len(f.m.delays) > 0),
		f.value(Value{Path: "brake.response_delay", Name: "t11", Source: source, By: byStop}, f.positive(of(responseDelay)), stopped),
		f.value(Value{Path: "brake.rise_time", Name: "t12", Source: source, By: fast}, f.positive(of(riseTime)), stopped),
		f.value(Value{Path: "brake.sliding_nm", Name: "sliding torque of the brake", Source: source, By: fast}, f.positive(slide), stopped),
		f.opening(g),
		f.lag(g),
	}
}

// switched is t₁₁ + t₁₂: from stops too, or by the switch alone.
func (f *fitted) switched(sum func(x []float64) float64) estimate {
	if len(f.m.stops) > 0 {
		return f.positive(sum)
	}
	var times []float64
	reach := 0.0
	for _, d := range f.m.delays {
		times = append(times, d.time-f.m.unknowns[d.late].start)
		reach = max(reach, math.Sqrt(3)*d.sigma+d.reach)
	}
	if len(times) == 0 {
		return estimate{}
	}
	return between(mean(times), reach)
}

// between is a time that lies within a bound of a value, anywhere: it is seen by samples alone.
func between(t, bound float64) estimate {
	return estimate{t, bound / math.Sqrt(3), t - bound, t + bound, true}
}

// The switch of a brake reports open once the engagement has fallen to a half (plant/armature.go), and the torque
// has fallen to a tenth at t₂:
//
//	time of the switch = t₂₁ + 0.5/0.9 (t₂ − t₂₁)
const openShare = 0.5 / 0.9

// opening is t₂ by the switch, with the share of t₂₁ in it from the rig.
func (f *fitted) opening(g *gathered) Value {
	b := &g.rig.Brake
	share := b.ReleaseDelay.Seconds() / b.ReleaseTime.Seconds()
	var times []float64
	reach := 0.0
	for i := range g.tracks {
		for _, c := range g.tracks[i].changes() {
			if !c.rises && c.commanded && c.follows && b.Feedback == plant.FeedbackSwitch {
				later, within := g.tracks[i].after(&c.edge)
				times = append(times, c.felt.t-c.t-later)
				reach = max(reach, c.felt.spread/2+within)
			}
		}
	}
	v := Value{Path: "brake.release_time", Name: "t2, with the share of t21 in the rig", By: bySwitch}
	if len(times) == 0 {
		return f.value(v, estimate{}, false)
	}
	v.Source = counted(len(times), "opening", "openings") + " with command and switch"
	scale := share + (1-share)*openShare
	return f.value(v, between(mean(times)/scale, reach/scale), true)
}
