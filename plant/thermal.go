package plant

import (
	"holdbench/plant/portable"
)

// thermal is the i²t limitation of the drive, one node for motor and drive: with i_meas the
// measured current, i_c the continuous current and τ_th the thermal time constant,
//
//	dϑ/dt = ((i_meas/i_c)² − ϑ)/τ_th
//
// ϑ is the thermal load as a share of the permitted one. At ϑ = 1 the limit falls to the
// continuous current, until ϑ is below 0.9 (a choice). At the start ϑ is that of holding the
// load, or higher by drive.thermal_load.
//
// Source: loss proportional to i² into one lumped node, motor and drive handbooks. Limit: one
// node for winding, housing and power stage; losses by speed, and the surroundings, are left
// out. Without a continuous current, or with one of at least the current limit, nothing is
// limited.
type thermal struct {
	load    float64 // ϑ
	limited bool
	share   float64 // of the way to its final value in one tick
	perAmp  float64 // 1/i_c in 1/A, 0 without limitation
	limit   float64 // N·m of the continuous current
	seen    float64 // drive.thermal_load when it was last applied
}

// thermalRelease is the thermal load below which the limitation ends.
const thermalRelease = 0.9

// reload recalculates the constants. The thermal load is set if the rig has a new value of it.
func (t *thermal) reload(r *Rig) {
	d := &r.Drive
	t.share = -portable.Expm1(-r.Clock.Tick.Seconds() / d.ThermalTime.Seconds())
	t.perAmp = 0
	if d.ContinuousCurrentRMSA > 0 {
		t.perAmp = 1 / d.ContinuousCurrentRMSA
	}
	t.limit = d.ContinuousCurrentRMSA * r.Motor.TorqueConstant
	if d.ThermalLoad != t.seen {
		t.load, t.seen = d.ThermalLoad, d.ThermalLoad
	}
	t.assess()
}

// start is the thermal load of holding with a measured current.
func (t *thermal) start(measuredRMSA float64) {
	ratio := measuredRMSA * t.perAmp
	t.load = max(t.load, ratio*ratio)
	t.assess()
}

// step advances the thermal load by a tick at a measured current.
func (t *thermal) step(measuredRMSA float64) {
	ratio := measuredRMSA * t.perAmp
	t.load += float64(t.share * (float64(ratio*ratio) - t.load))
	t.assess()
}

func (t *thermal) assess() {
	switch {
	case t.load >= 1 && t.perAmp > 0:
		t.limited = true
	case t.load < thermalRelease:
		t.limited = false
	}
}

// limitNM is the torque limit of the drive, with a limit that applies anyhow.
func (t *thermal) limitNM(limit float64) float64 {
	if t.limited {
		return min(limit, t.limit)
	}
	return limit
}

// ThermalLoad is the thermal load of motor and drive as a share of the permitted one, and
// whether it limits the current.
func (p *Plant) ThermalLoad() (share float64, limited bool) { return p.heat.load, p.heat.limited }
