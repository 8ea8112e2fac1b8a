package identify

import (
	"math"
	"slices"

	"holdbench/plant"
)

// values are the values of the equations at one point of the fit, SI units at the motor shaft.
type values struct {
	torqueConstant float64 // N·m per A rms
	late           float64 // s, of the current behind the angle
	transducer     float64 // gain of the torque transducer
	viscous        float64 // N·m·s
	inertia        float64 // kg·m², with the first load
	loads          []load

	stiffness, play           float64 // of the brake, N·m/rad and rad
	breakaway, guideStiffness float64 // of the guide in a press, N·m and N·m/rad
	responseDelay, riseTime   float64 // t₁₁ and t₁₂ in s
	brakeSliding              float64 // N·m
}

// load is what is on the axis in some of the recordings.
type load struct {
	mass                   float64 // kg
	inertia                float64 // kg·m², of the axis
	slidingUp, slidingDown float64 // N·m, friction of the guide with the losses of the transmission
}

func (l *load) friction() float64 { return (l.slidingUp + l.slidingDown) / 2 }

// The values that a fit can find; the masses of the loads and the values of single pieces follow them.
const (
	torqueConstant = iota
	inertia
	sliding
	viscous
	loss       // of the transmission: 1/η − 1
	late       // of the current behind the angle, s
	transducer // gain of the torque transducer
	stiffness
	play
	breakaway
	guideStiffness
	responseDelay
	riseTime
	brakeSliding
	named
)

// spread gives the equations their values for one point of the fit.
func (m *model) spread(x []float64) *values {
	v := &values{
		torqueConstant: x[torqueConstant], late: x[late], transducer: x[transducer], viscous: x[viscous], inertia: x[inertia],
		stiffness: x[stiffness], play: x[play], breakaway: x[breakaway], guideStiffness: x[guideStiffness],
		responseDelay: x[responseDelay], riseTime: x[riseTime], brakeSliding: x[brakeSliding],
		loads: make([]load, m.loads),
	}
	for i := range v.loads {
		v.loads[i] = m.load(x, x[named+i])
	}
	return v
}

// load is the axis with a mass on it: by the functions of the plant, which give inertia and losses of the
// transmission for that mass.
func (m *model) load(x []float64, mass float64) load {
	r := *m.rig
	r.Load.MassKG = mass
	r.Transmission.Efficiency = 1 / (1 + x[loss])
	r.Guide.SlidingNM, r.Guide.BreakawayNM = x[sliding], x[sliding]
	d := plant.Derive(&r)
	l := load{mass: mass, slidingUp: d.GuideSlidingNM, slidingDown: d.GuideLoweringNM}
	if risesByItself(&r) {
		l.slidingUp, l.slidingDown = l.slidingDown, l.slidingUp
	}
	l.inertia = x[inertia] + (mass-x[named])*m.perKG
	return l
}

// risesByItself is whether a counterbalance outweighs the load in the middle of its travel.
func risesByItself(r *plant.Rig) bool {
	return plant.LoadTorque(r, (r.Stops.LowMM+r.Stops.HighMM)/2) > 0
}

// perKG is the inertia at the motor shaft of each kg of mass: (p/(2π n))², or r²/n² of an arm.
func perKG(r *plant.Rig) float64 {
	return math.Pow(plant.Derive(r).MMPerRad/1000, 2)
}

// memory keeps the last simulation: most derivatives of a fit are by values on which it does not depend.
type memory struct{ inputs, outputs []float64 }

func (m *memory) is(inputs []float64) bool { return slices.Equal(m.inputs, inputs) }
