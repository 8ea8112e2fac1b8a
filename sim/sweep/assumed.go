package sweep

import (
	"fmt"
	"strings"

	"holdbench/plant"
	"holdbench/sim"
)

// The keys of assumed spreads that depend on the rig.
const (
	payloadKey = "rig.load.payload_kg"
	brakePath  = "rig.brake."
	brake2Path = "rig.brake_2."
	creepName  = "creep_deg_per_s"
)

// assumedCreep is the creep in deg/s of one in five linings, at the motor shaft: at a dwell of 0.1 s
// it can be missed where it matters, at 1 s it is seen on most rigs (a choice).
const assumedCreep = 30

// Assumed are the spreads of a sweep for which none are given, each as a user would write it.
// The sizes are from memory and are not those of any machine. A sweep leaves out what its rig
// has none of, see [AssumedFor].
func Assumed() []string {
	return append([]string{
		CapacityKey + "=uniform(0.7, 1.6)",
		FrictionKey + "=uniform(70%, 130%)",
		"rig.load.mass_kg=normal(100%, 2%)",
		payloadKey + "=normal(100%, 2%, 90%, 110%)",
		"rig.motor.torque_factor=normal(100%, 2%, 90%, 110%)",
		"rig.drive.current_gain=normal(100%, 1%, 95%, 105%)",
		brakePath + "ambient_c=uniform(10, 40)",
		brakePath + "response_delay=uniform(90%, 130%)",
		"rig.encoder.noise_deg=uniform(50%, 200%)",
		"rig.drive.current_noise_rms_a=uniform(50%, 200%)",
		creepText(brakePath, assumedCreep),
	}, assumedOfSecond(assumedCreep)...)
}

// assumedOfSecond are the spreads of a second brake: those of the first, with the creep in deg/s
// at its own shaft.
func assumedOfSecond(creep float64) []string {
	return []string{
		Capacity2Key + "=uniform(0.7, 1.6)",
		brake2Path + "ambient_c=uniform(10, 40)",
		brake2Path + "response_delay=uniform(90%, 130%)",
		creepText(brake2Path, creep),
	}
}

func creepText(path string, creep float64) string {
	return fmt.Sprintf("%s%s=table(0: 0.8, %.3g: 0.2)", path, creepName, creep)
}

// ofSecond is whether a key is that of a second brake.
func ofSecond(key string) bool { return key == Capacity2Key || strings.HasPrefix(key, brake2Path) }

// AssumedFor are the assumed spreads that a case can have: per cent of nothing are nothing.
func AssumedFor(c *sim.Case) ([]Spread, error) {
	var list []Spread
	for _, text := range Assumed() {
		key, _, _ := strings.Cut(text, "=")
		if ofSecond(key) && !c.Rig.Brake2.Exists() {
			continue
		}
		if b, err := baseValueOf(c, key); err == nil && b.number == 0 && strings.Contains(text, "%") {
			continue
		}
		if text = fitted(c, key, text); text == "" {
			continue
		}
		s, err := ParseSpread(c, text)
		if err != nil {
			return nil, err
		}
		list = append(list, s)
	}
	return list, nil
}

// fitted is the text of an assumed spread with the limits of a rig, empty if they leave no room.
func fitted(c *sim.Case, key, text string) string {
	switch key {
	case CapacityKey, Capacity2Key:
		return withinReach(c, key, text)
	case payloadKey:
		return withinPayloads(&c.Rig.Load, text)
	case brake2Path + creepName:
		return creepText(brake2Path, creepOf(&c.Rig, Capacity2Key))
	}
	return text
}

// creepOf is the assumed creep of a brake in deg/s at its own shaft.
func creepOf(r *plant.Rig, capacityKey string) float64 {
	if capacityKey == Capacity2Key && r.Brake2.Place == plant.PlaceLoad {
		return assumedCreep / r.Transmission.GearRatio
	}
	return assumedCreep
}

// withinPayloads is the assumed payload, which must be from the least to the most in operation.
func withinPayloads(l *plant.Load, text string) string {
	low, high := 0.9*l.PayloadKG, 1.1*l.PayloadKG
	if (l.PayloadMostKG == 0 || high <= l.PayloadMostKG) && low >= l.PayloadLeastKG {
		return text
	}
	low = max(low, l.PayloadLeastKG)
	if l.PayloadMostKG > 0 {
		high = min(high, l.PayloadMostKG)
	}
	if low >= high {
		return ""
	}
	return fmt.Sprintf("%s=normal(100%%, 2%%, %g, %g)", payloadKey, low, high)
}

// withinReach is the assumed capacity, or less of it for a brake that has not so much in any
// condition, with some room for loads that are heavier.
func withinReach(c *sim.Case, key, text string) string {
	rig := c.Rig
	brake, condition, capacity := brakeOf(&rig, key)
	brake.CreepDegPerS = max(brake.CreepDegPerS, creepOf(&rig, key))
	brake.Condition = 1
	d := plant.Derive(&rig)
	most := 0.85 * condition.Max * capacity(&d) / d.RequiredTestNM
	if d.RequiredTestNM <= 0 || most >= 1.6 {
		return text
	}
	return fmt.Sprintf("%s=uniform(%.3g, %.3g)", key, 0.4*most, most)
}
