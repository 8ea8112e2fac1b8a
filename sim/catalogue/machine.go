package catalogue

import "holdbench/plant"

// net scales what is to be held by the mass of the load; payload, and what a counterbalance
// takes, stay.
func net(r *plant.Rig, number float64) string {
	l := &r.Load
	stays := l.CounterbalanceKG - l.PayloadKG
	if l.CounterbalanceN > 0 && l.GravityMS2 > 0 {
		stays += l.CounterbalanceN / l.GravityMS2
	}
	return fourDigits(max(lightest, stays+float64(number*(l.MassKG-stays))))
}

// lightest is the least mass of a load in kg.
const lightest = 1e-3

// loadFaults are those of the load.
func loadFaults() []Entry {
	return []Entry{
		{
			Name: "load-heavier", Group: MachineGroup, Gradual: true, What: "The load is heavier than in the engineering data.",
			Scale:   &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 1.03, Usual: 1.3, Severe: 1.8, text: net},
			Symptom: heavyLoad, Remedy: "check-load",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "load-lighter", Group: MachineGroup, Gradual: true, What: "The load is lighter than in the engineering data.",
			Scale:   &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.97, Usual: 0.7, Severe: 0.3, text: net},
			Symptom: lightLoad, Remedy: "check-load",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "workpiece-lost", Group: MachineGroup, What: "The gripper has lost the workpiece.",
			Scale:   &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.9, Usual: 0.5, Severe: 0.2, text: net},
			Symptom: lightLoad, Remedy: "check-gripper",
			DetectedBy: "The sequence, by a step of the torque that holds the load.",
		}, {
			Name: "counterbalance-lost", Group: MachineGroup, What: "The counterbalance has lost pressure, or its chain has come off.",
			Scale:   &Scale{Target: "load.counterbalance_kg", Unit: "of the counterbalance", Mild: 0.97, Usual: 0.7, Severe: 0.2, text: timesOf(func(r *plant.Rig) float64 { return r.Load.CounterbalanceKG })},
			Needs:   func(r *plant.Rig) bool { return r.Load.CounterbalanceKG > 0 },
			Symptom: heavyLoad, Remedy: "repair-counterbalance",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "transmission-severed", Group: MachineGroup, What: "Screw, belt or coupling is broken: motor and brake no longer hold the load.",
			Set:       map[string]string{"transmission.severed": yes},
			Permanent: true, Remedy: "repair-transmission",
			DetectedBy: "The sequence, by a torque that goes to zero; the judge cannot, as the brake holds the motor shaft.",
		},
	}
}

// payloadFaults are those of payload, spring and support.
func payloadFaults() []Entry {
	return []Entry{
		{
			Name: "gas-spring-weak", Group: MachineGroup, Gradual: true, What: "The gas spring or the spring of the counterbalance has lost force.",
			Scale:   &Scale{Target: "load.counterbalance_n", Unit: "of the force", Mild: 0.97, Usual: 0.7, Severe: 0.4, text: timesOf(func(r *plant.Rig) float64 { return r.Load.CounterbalanceN })},
			Needs:   func(r *plant.Rig) bool { return r.Load.CounterbalanceN > 0 },
			Symptom: heavyLoad, Remedy: "repair-counterbalance",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "payload-added", Group: MachineGroup, What: "More payload is on the axis than in the data of the test.",
			Scale: &Scale{Target: "load.payload_kg", Unit: "of the payload that is still permitted", Mild: 0.1, Usual: 0.5, Severe: 1, text: func(r *plant.Rig, number float64) string {
				return fourDigits(r.Load.PayloadKG + float64(number*(r.Load.PayloadMostKG-r.Load.PayloadKG)))
			}},
			Needs:   func(r *plant.Rig) bool { return r.Load.PayloadMostKG > r.Load.PayloadKG },
			Symptom: heavyLoad, Remedy: "check-load",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "payload-dropped", Group: MachineGroup, What: "Payload has fallen off or was taken away.",
			Scale: &Scale{Target: "load.payload_kg", Unit: "of the payload that may be missing", Mild: 0.1, Usual: 0.5, Severe: 1, text: func(r *plant.Rig, number float64) string {
				return fourDigits(r.Load.PayloadKG - float64(number*(r.Load.PayloadKG-r.Load.PayloadLeastKG)))
			}},
			Needs:   func(r *plant.Rig) bool { return r.Load.PayloadKG > r.Load.PayloadLeastKG },
			Symptom: lightLoad, Remedy: "check-gripper",
			DetectedBy: "The sequence, by a step of the torque that holds the load.",
		}, {
			Name: "support-removed", Group: MachineGroup, What: "The support on which the load can be set down is missing.",
			Set:       map[string]string{"support.removed": yes},
			Needs:     func(r *plant.Rig) bool { return r.Support.StiffnessNPerMM > 0 },
			Permanent: true, FromStart: true, Remedy: "repair-support",
			DetectedBy: "The sequence, by the torque that holds the load, once it is to be set down.",
		},
	}
}

// obstacleFaults are those of the guide and of obstacles.
func obstacleFaults() []Entry {
	return []Entry{
		{
			Name: "obstacle-above", Group: MachineGroup, What: "There is an obstacle above the load.",
			Scale: &Scale{Target: "stops.high_mm", Unit: "of the upward travel left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, text: func(r *plant.Rig, share float64) string {
				return fourDigits(r.Load.StartMM + float64(share*(r.Stops.HighMM-r.Load.StartMM)))
			}},
			FromStart: true, Remedy: "remove-obstacle",
			DetectedBy: "The sequence: the axis stops short of its target, at the torque limit.",
		}, {
			Name: "obstacle-below", Group: MachineGroup, What: "There is an obstacle below the load.",
			Scale: &Scale{Target: "stops.low_mm", Unit: "of the downward travel left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, text: func(r *plant.Rig, share float64) string {
				return fourDigits(r.Load.StartMM - float64(share*(r.Load.StartMM-r.Stops.LowMM)))
			}},
			FromStart: true, Remedy: "remove-obstacle",
			DetectedBy: "The sequence, if it travels down: the axis stops short of its target.",
		}, {
			Name: "guide-stiff", Group: MachineGroup, Gradual: true, What: "The guide is stiff, for lack of grease or because of dirt, and carries part of the load.",
			Set:     map[string]string{"guide.breakaway_nm": "0"},
			Scale:   &Scale{Target: "guide.sliding_nm", Unit: "of the load torque, added", Mild: 0.05, Usual: 0.3, Severe: 0.9, text: guideFriction},
			Symptom: stiffGuide, Remedy: "service-guide",
			DetectedBy: "The sequence, by a torque that is larger upwards than downwards; the friction can hide a weak brake.",
		}, {
			Name: "guide-stick-slip", Group: MachineGroup, Gradual: true, What: "The guide sticks at rest and breaks away with a jerk.",
			Set:        map[string]string{"guide.stribeck_rpm": "5"},
			Scale:      &Scale{Target: "guide.breakaway_nm", Unit: "of the load torque, added", Mild: 0.1, Usual: 0.5, Severe: 1.2, text: guideFriction},
			Remedy:     "service-guide",
			DetectedBy: "The sequence, by a torque peak at the start of a move.",
		},
	}
}

// guideFriction is the rig's sliding friction and a share of the load torque on top.
func guideFriction(r *plant.Rig, share float64) string {
	return fourDigits(r.Guide.SlidingNM + float64(share*loadTorque(r)))
}
