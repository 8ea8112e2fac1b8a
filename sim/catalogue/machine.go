package catalogue

import "holdbench/plant"

// net is the mass that is to be held, number times over: what a counterbalance takes stays.
func net(r *plant.Rig, number float64) string {
	return fourDigits(r.Load.CounterKG + float64(number*(r.Load.MassKG-r.Load.CounterKG)))
}

// loadFaults are those of what hangs on the axis.
func loadFaults() []Entry {
	return []Entry{
		{
			Name: "load-heavier", Group: MachineGroup, What: "More hangs on the axis than the engineering data say.",
			Scale:   &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 1.03, Usual: 1.3, Severe: 1.8, Text: net},
			Symptom: heavyLoad, Remedy: "check-load",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "load-lighter", Group: MachineGroup, What: "Less hangs on the axis than the engineering data say, so that the brake is tested with less.",
			Scale:   &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.97, Usual: 0.7, Severe: 0.3, Text: net},
			Symptom: lightLoad, Remedy: "check-load",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "workpiece-lost", Group: MachineGroup, What: "The gripper has lost its workpiece.",
			Scale:   &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.9, Usual: 0.5, Severe: 0.2, Text: net},
			Symptom: lightLoad, Remedy: "check-gripper",
			DetectedBy: "The sequence, by a jump of the torque that holds the load.",
		}, {
			Name: "counterbalance-lost", Group: MachineGroup, What: "The counterbalance has lost pressure, or its chain is off.",
			Scale:   &Scale{Target: "load.counter_kg", Unit: "of the counterbalance", Mild: 0.97, Usual: 0.7, Severe: 0.2, Text: timesOf(func(r *plant.Rig) float64 { return r.Load.CounterKG })},
			Needs:   func(r *plant.Rig) bool { return r.Load.CounterKG > 0 },
			Symptom: heavyLoad, Remedy: "repair-counterbalance",
			DetectedBy: "The sequence, by the torque that holds the load.",
		}, {
			Name: "transmission-severed", Group: MachineGroup, What: "Screw, belt or coupling is broken: motor and brake no longer hold the load.",
			Set:       map[string]string{"transmission.severed": yes},
			Permanent: true, Remedy: "repair-transmission",
			DetectedBy: "The sequence, by a torque that goes to nothing; the judge cannot, for the brake holds the motor.",
		},
	}
}

// obstacleFaults are those of the guide and of what stands in the way.
func obstacleFaults() []Entry {
	return []Entry{
		{
			Name: "stop-above", Group: MachineGroup, What: "Something stands in the way above the load.",
			Scale: &Scale{Target: "stops.high_mm", Unit: "of the way up left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, Text: func(r *plant.Rig, share float64) string {
				return fourDigits(r.Load.StartMM + float64(share*(r.Stops.HighMM-r.Load.StartMM)))
			}},
			FromStart: true, Remedy: "clear-the-way",
			DetectedBy: "The sequence: the axis stands still away from its target, at its torque limit.",
		}, {
			Name: "stop-below", Group: MachineGroup, What: "Something stands in the way below the load.",
			Scale: &Scale{Target: "stops.low_mm", Unit: "of the way down left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, Text: func(r *plant.Rig, share float64) string {
				return fourDigits(r.Load.StartMM - float64(share*(r.Load.StartMM-r.Stops.LowMM)))
			}},
			FromStart: true, Remedy: "clear-the-way",
			DetectedBy: "The sequence, if it goes down: the axis stands still away from its target.",
		}, {
			Name: "guide-stiff", Group: MachineGroup, What: "The guide is stiff, for want of grease or for dirt, and carries part of the load.",
			Set:     map[string]string{"guide.breakaway_nm": "0"},
			Scale:   &Scale{Target: "guide.sliding_nm", Unit: "of the load torque more", Mild: 0.05, Usual: 0.3, Severe: 0.9, Text: guideFriction},
			Symptom: stiffGuide, Remedy: "service-guide",
			DetectedBy: "The sequence, by a torque up that is larger than the one down; it can hide a weak brake.",
		}, {
			Name: "guide-stick-slip", Group: MachineGroup, What: "The guide sticks at rest and lets go with a jerk.",
			Set:        map[string]string{"guide.stribeck_rpm": "5"},
			Scale:      &Scale{Target: "guide.breakaway_nm", Unit: "of the load torque more", Mild: 0.1, Usual: 0.5, Severe: 1.2, Text: guideFriction},
			Remedy:     "service-guide",
			DetectedBy: "The sequence, by a peak of torque when a move begins.",
		},
	}
}

// guideFriction is the rig's sliding friction and a share of the load torque on top.
func guideFriction(r *plant.Rig, share float64) string {
	return fourDigits(r.Guide.SlidingNM + float64(share*loadTorque(r)))
}
