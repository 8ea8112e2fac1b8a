package plant

import (
	"math"
	"time"
)

// PowerFailure is the failure of the supply while the drive carries the load: the drive is off, the
// brakes are commanded to close at once, and one of them alone has to stop the load. Partner,
// support and hard stops carry nothing, and the drive is healthy until then, whatever the rig says.
//
// Each payload is tried at the position of its greatest load torque, at rest and while the load
// moves as it pulls. A brake whose output is stuck on stays open, as its coil may be supplied from
// elsewhere. The slow drop of a lining that creeps is no part of it; see test.hold_time of a rig.
type PowerFailure struct {
	stops      []stopCase
	capacityNM float64
}

// stopCase is one payload.
type stopCase struct {
	rig      Rig
	second   bool // the brake is the second one
	falls    float64
	load     float64 // N·m, the greatest
	travelMM float64
}

const (
	stopTick     = 250 * time.Microsecond // holds a stop within 1e-3, see the package
	stopTime     = 2 * time.Second        // any load is at rest by then on a brake that holds it
	stoppedShare = 1e-3                   // of the greatest speed, below which a load is at rest
	neededShare  = 5e-3                   // relative accuracy of a capacity
	leastNeeded  = 0.1                    // times the load torque
	mostNeeded   = 10.0
)

// NewPowerFailure is a power failure with the first or the second brake of a rig, with the most and
// the least payload in operation.
func NewPowerFailure(r *Rig, second bool) *PowerFailure {
	least, most := r.Load.payloads()
	heavy, light := *r, *r
	heavy.Load.PayloadKG, light.Load.PayloadKG = most, least
	return NewPowerFailureOf(second, &heavy, &light)
}

// NewPowerFailureOf is a power failure with the loads of several rigs that have the brakes of the
// first.
func NewPowerFailureOf(second bool, rigs ...*Rig) *PowerFailure {
	f := &PowerFailure{}
	d := Derive(rigs[0])
	f.capacityNM = d.BrakeCapacityNM
	if second {
		f.capacityNM = d.Brake2CapacityNM
	}
	for i, r := range rigs {
		if i == 0 || r.Load != rigs[0].Load {
			f.stops = append(f.stops, stopCaseOf(r, second))
		}
	}
	return f
}

func stopCaseOf(of *Rig, second bool) stopCase {
	r := *of
	r.Clock.Tick = stopTick
	r.Partner.InertiaKGM2, r.Stops.StiffnessNPerMM, r.Support.StiffnessNPerMM = 0, 0, 0
	r.Load.StartMM, r.Load.StartSpeedMMS = WorstPosition(&r, r.Stops.LowMM, r.Stops.HighMM), 0
	r.healDrive()
	r.Brake.Adhesion, r.Brake2.Adhesion = 0, 0 // the first slip breaks a bond
	if second {
		r.Brake.OutputStuckOn = true
	} else {
		r.Brake2.StaticNM = 0
	}
	torque, travel := LoadTorque(&r, r.Load.StartMM), r.Stops.HighMM-r.Stops.LowMM
	if r.Transmission.Severed { // a free load stops at its ends whatever their stiffness
		r.Stops.LowMM, r.Stops.HighMM = r.Stops.LowMM-float64(2*travel), r.Stops.HighMM+float64(2*travel)
	}
	return stopCase{rig: r, second: second, falls: math.Copysign(1, torque), load: math.Abs(torque), travelMM: travel}
}

// healDrive has a drive that carries the load without error and noise.
func (r *Rig) healDrive() {
	d, e := &r.Drive, &r.Encoder
	r.Motor.TorqueFactor, r.Motor.Commutation = 1, CommutationOwn
	d.CurrentNoiseRMSA, d.CurrentGain, d.CurrentOffsetRMSA, d.CurrentFrozen, d.ThermalLoad = 0, 1, 0, false, 0
	e.NoiseDeg, e.OffsetDeg, e.Scale, e.DriftDegPerS, e.Frozen, e.Lost = 0, 0, 1, 0, false, false
}

// CapacityNM is the static capacity of the brake of the rig in N·m at the motor shaft.
func (f *PowerFailure) CapacityNM() float64 { return f.capacityNM }

// DropMM is the load drop in mm of the payload that drops more, with a brake of a static capacity
// in N·m at the motor shaft and from a speed in mm/s, and whether the load stops, within the travel
// and within 2 s. Static and sliding torque of the brake keep their ratio, and its spring its stiffness.
func (f *PowerFailure) DropMM(capacityNM, speedMMS float64) (mm float64, stops bool) {
	stops = true
	for i := range f.stops {
		own, stopped := f.stops[i].drop(f.share(capacityNM), speedMMS, f.stops[i].travelMM)
		mm, stops = max(mm, own), stops && stopped
	}
	return mm, stops
}

// Meets reports whether the load drops by a limit in mm at most.
func (f *PowerFailure) Meets(capacityNM, speedMMS, limitMM float64) bool {
	for i := range f.stops {
		if mm, stopped := f.stops[i].drop(f.share(capacityNM), speedMMS, limitMM); !stopped || mm > limitMM {
			return false
		}
	}
	return true
}

// share is a capacity as a share of that of the brake of the rig, 0 if that has none.
func (f *PowerFailure) share(capacityNM float64) float64 {
	if f.capacityNM <= 0 {
		return 0
	}
	return capacityNM / f.capacityNM
}

// NeededNM is the least static capacity in N·m at the motor shaft, within half a per cent, with
// which the load drops by a limit in mm at most; infinite if none is enough that a rig can have, up
// to 10 times the load torque. More capacity stops a load sooner, so that all above it are enough.
func (f *PowerFailure) NeededNM(speedMMS, limitMM float64) float64 {
	load := 0.0
	for i := range f.stops {
		load = max(load, f.stops[i].load)
	}
	low, high := leastNeeded, mostNeeded
	if !f.Meets(high*load, speedMMS, limitMM) {
		return math.Inf(1)
	}
	for high > low*(1+neededShare) {
		if middle := math.Sqrt(low * high); f.Meets(middle*load, speedMMS, limitMM) {
			high = middle
		} else {
			low = middle
		}
	}
	return high * load
}

// drop simulates the stop with a share of the capacity of the brake, until the brake has closed and
// the load no longer moves as it pulls. A drop past the limit is not followed further.
func (c *stopCase) drop(share, speed, limit float64) (mm float64, stopped bool) {
	r := c.rig
	own := &r.Brake
	if c.second {
		own = &r.Brake2.Brake
	}
	own.Condition *= share
	r.Load.StartSpeedMMS = c.falls * speed
	p := New(r, 1)
	brake, state := &p.brake, &p.state.BrakeState
	if c.second {
		brake, state = &p.brake2.brake, &p.brake2.state
	}
	off := Command{Mode: Off, CloseBrake: true, CloseBrake2: true}
	from, fastest, now := p.LoadMM(), 0.0, 0.0
	for range int(stopTime / stopTick) {
		p.StepBy(&off)
		now = c.falls * p.loadSpeed()
		mm, fastest = max(mm, c.falls*(p.LoadMM()-from)), max(fastest, now)
		if mm > limit {
			return mm, false
		}
		if brake.settled && state.Engagement > 0 && now <= 0 {
			return mm, true
		}
	}
	return mm, now <= stoppedShare*fastest
}

// loadSpeed is the speed of the load at the motor shaft in rad/s.
func (p *Plant) loadSpeed() float64 {
	if p.free.severed {
		return p.free.speed
	}
	return p.state.SpeedRadS
}

// RigNow is the rig with its brakes as they are at this moment: air gap, glaze and temperature.
func (p *Plant) RigNow() *Rig {
	r := p.rig
	r.Brake.asIs(&p.state.BrakeState)
	if p.brake2 != nil {
		r.Brake2.asIs(&p.brake2.state)
	}
	return &r
}

// asIs takes over what a run has changed of a brake.
func (b *Brake) asIs(s *BrakeState) {
	b.GapMM, b.Glaze, b.ExcessK = s.BrakeGapMM, s.BrakeGlaze, s.BrakeTempC-b.AmbientC
	b.GlazeReturnsTo = 0 // at once it would return in full
}
