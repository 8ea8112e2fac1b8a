package catalogue

import "holdbench/plant"

// net scales the mass that is to be held; the part that a counterbalance takes stays.
func net(r *plant.Rig, number float64) string {
	return fourDigits(r.Load.CounterbalanceKG + float64(number*(r.Load.MassKG-r.Load.CounterbalanceKG)))
}

// loadFaults are those of the load.
func loadFaults() []Entry {
	return []Entry{
		{
			Name: "load-heavier", Group: MachineGroup, What: "The load is heavier than in the engineering data.",
			Scale:   &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 1.03, Usual: 1.3, Severe: 1.8, text: net},
			Symptom: heavyLoad, Remedy: "check-load",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "load-lighter", Group: MachineGroup, What: "The load is lighter than in the engineering data, so that the brake is tested with less torque.",
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
			Name: "guide-stiff", Group: MachineGroup, What: "The guide is stiff, for lack of grease or because of dirt, and carries part of the load.",
			Set:     map[string]string{"guide.breakaway_nm": "0"},
			Scale:   &Scale{Target: "guide.sliding_nm", Unit: "of the load torque, added", Mild: 0.05, Usual: 0.3, Severe: 0.9, text: guideFriction},
			Symptom: stiffGuide, Remedy: "service-guide",
			DetectedBy: "The sequence, by a torque that is larger upwards than downwards; the friction can hide a weak brake.",
		}, {
			Name: "guide-stick-slip", Group: MachineGroup, What: "The guide sticks at rest and breaks away with a jerk.",
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
