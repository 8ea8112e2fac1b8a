package evaluate

import (
	"math"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// Limits are what a rig says about recordings of its axis, for [recording.Doubts].
func Limits(rig *plant.Rig) recording.Limits {
	b, d := &rig.Brake, plant.Derive(rig)
	l := recording.Limits{
		LowMM: rig.Stops.LowMM, HighMM: rig.Stops.HighMM, MMPerRad: d.MMPerRad, BrakeNMPerRad: d.BrakeStiffness,
		TorqueConstant: rig.Motor.TorqueConstant, PeakCurrentRMSA: max(rig.Drive.PeakCurrentRMSA, rig.Drive.CurrentLimitRMSA),
		SpeedMMS: rig.Drive.SpeedMMS, BrakeTimeS: (b.ResponseDelay + b.RiseTime + b.ReleaseDelay + b.ReleaseTime).Seconds(),
	}
	if rig.Transmission.GearRatio > 0 {
		l.DegPerRad = 180 / math.Pi / rig.Transmission.GearRatio
	}
	l.UnsureNM = max(d.GuideSlidingNM, d.GuideLoweringNM, rig.Guide.BreakawayNM) + unbalancedNM(rig)
	l.HoldLowNM, l.HoldHighNM = holdTorques(rig, rig.Load.PayloadKG)
	l.HoldVaries = l.HoldHighNM-l.HoldLowNM > 0.05*math.Abs(l.HoldHighNM)
	for _, payload := range []float64{min(rig.Load.PayloadLeastKG, rig.Load.PayloadKG), max(rig.Load.PayloadMostKG, rig.Load.PayloadKG)} {
		low, high := holdTorques(rig, payload)
		l.HoldLowNM, l.HoldHighNM = min(l.HoldLowNM, low), max(l.HoldHighNM, high)
	}
	return l
}

// unbalancedNM is what an error of the moving mass leaves of the torque of a balanced load; 0 without a counterbalance.
func unbalancedNM(rig *plant.Rig) float64 {
	const massError = 0.1 // share of the mass that a drawing leaves open
	without := *rig
	without.Load.CounterbalanceKG, without.Load.CounterbalanceN, without.Load.CounterbalanceNPerMM = 0, 0, 0
	if without.Load == rig.Load {
		return 0
	}
	return float64(massError * math.Abs(plant.LoadTorque(&without, rig.Load.StartMM)))
}

// holdTorques are the least and the greatest torque that holds the load, at places over the whole travel.
func holdTorques(rig *plant.Rig, payloadKG float64) (low, high float64) {
	r := *rig
	r.Load.PayloadKG = payloadKG
	low, high = math.Inf(1), math.Inf(-1)
	const places = 50
	for i := range places + 1 {
		x := -plant.LoadTorque(&r, r.Stops.LowMM+float64(float64(i)/places*(r.Stops.HighMM-r.Stops.LowMM)))
		low, high = min(low, x), max(high, x)
	}
	return low, high
}
