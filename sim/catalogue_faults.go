package sim

import (
	"time"

	"holdbench/plant"
)

// What a controller cannot tell apart.
const (
	looksWeak   = "a brake with too little torque"
	looksLight  = "a load too light"
	looksHeavy  = "a load too heavy"
	looksNoLink = "no answer from the other side"
	looksOpen   = "a brake that is not seen to close"
	looksStiff  = "more friction in a move"
)

// Words for flags of the rig and of the link.
const (
	yes = "true"
	no  = "false"
)

// net is the mass that is to be held, number times over: what a counterbalance takes stays.
func net(r *plant.Rig, number float64) string {
	return figure(r.Load.CounterKG + float64(number*(r.Load.MassKG-r.Load.CounterKG)))
}

// loadFaults are those of what hangs on the axis.
func loadFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "load-heavier", Group: MachineGroup, What: "More hangs on the axis than the engineering data say.",
			Severity: &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 1.03, Usual: 1.3, Severe: 1.8, Text: net},
			Looks:    looksHeavy, Remedy: "check-load",
			Noticed: "The sequence, by the torque that holds the load.",
		}, {
			Name: "load-lighter", Group: MachineGroup, What: "Less hangs on the axis than the engineering data say, so that the brake is tested with less.",
			Severity: &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.97, Usual: 0.7, Severe: 0.3, Text: net},
			Looks:    looksLight, Remedy: "check-load",
			Noticed: "The sequence, by the torque that holds the load.",
		}, {
			Name: "workpiece-lost", Group: MachineGroup, What: "The gripper has lost its workpiece.",
			Severity: &Scale{Target: "load.mass_kg", Unit: "of the load to be held", Mild: 0.9, Usual: 0.5, Severe: 0.2, Text: net},
			Looks:    looksLight, Remedy: "check-gripper",
			Noticed: "The sequence, by a jump of the torque that holds the load.",
		}, {
			Name: "counterbalance-lost", Group: MachineGroup, What: "The counterbalance has lost pressure, or its chain is off.",
			Severity: &Scale{Target: "load.counter_kg", Unit: "of the counterbalance", Mild: 0.97, Usual: 0.7, Severe: 0.2, Text: timesOf(func(r *plant.Rig) float64 { return r.Load.CounterKG })},
			Needs:    func(r *plant.Rig) bool { return r.Load.CounterKG > 0 },
			Looks:    looksHeavy, Remedy: "repair-counterbalance",
			Noticed: "The sequence, by the torque that holds the load.",
		}, {
			Name: "transmission-severed", Group: MachineGroup, What: "Screw, belt or coupling is broken: motor and brake no longer hold the load.",
			Set:     map[string]string{"transmission.severed": yes},
			Lasting: true, Remedy: "repair-transmission",
			Noticed: "The sequence, by a torque that goes to nothing; the judge cannot, for the brake holds the motor.",
		},
	}
}

// wayFaults are those of the guide and of what stands in the way.
func wayFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "stop-above", Group: MachineGroup, What: "Something stands in the way above the load.",
			Severity: &Scale{Target: "stops.high_mm", Unit: "of the way up left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, Text: func(r *plant.Rig, share float64) string {
				return figure(r.Load.StartMM + float64(share*(r.Stops.HighMM-r.Load.StartMM)))
			}},
			FromStart: true, Remedy: "clear-the-way",
			Noticed: "The sequence: the axis stands still away from its target, at its torque limit.",
		}, {
			Name: "stop-below", Group: MachineGroup, What: "Something stands in the way below the load.",
			Severity: &Scale{Target: "stops.low_mm", Unit: "of the way down left free", Mild: 0.9, Usual: 0.1, Severe: 0.02, Text: func(r *plant.Rig, share float64) string {
				return figure(r.Load.StartMM - float64(share*(r.Load.StartMM-r.Stops.LowMM)))
			}},
			FromStart: true, Remedy: "clear-the-way",
			Noticed: "The sequence, if it goes down: the axis stands still away from its target.",
		}, {
			Name: "guide-stiff", Group: MachineGroup, What: "The guide is stiff, for want of grease or for dirt, and carries part of the load.",
			Set:      map[string]string{"guide.breakaway_nm": "0"},
			Severity: &Scale{Target: "guide.sliding_nm", Unit: "of the load torque more", Mild: 0.05, Usual: 0.3, Severe: 0.9, Text: guideFriction},
			Looks:    looksStiff, Remedy: "service-guide",
			Noticed: "The sequence, by a torque up that is larger than the one down; it can hide a weak brake.",
		}, {
			Name: "guide-stick-slip", Group: MachineGroup, What: "The guide sticks at rest and lets go with a jerk.",
			Set:      map[string]string{"guide.stribeck_rpm": "5"},
			Severity: &Scale{Target: "guide.breakaway_nm", Unit: "of the load torque more", Mild: 0.1, Usual: 0.5, Severe: 1.2, Text: guideFriction},
			Remedy:   "service-guide",
			Noticed:  "The sequence, by a peak of torque when a move begins.",
		},
	}
}

// guideFriction is the rig's sliding friction and a share of the load torque on top.
func guideFriction(r *plant.Rig, share float64) string {
	return figure(r.Guide.SlidingNM + float64(share*loadTorque(r)))
}

func driveFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "drive-not-ready", Group: DriveGroup, What: "The drive has lost its release or its supply, and gives no torque.",
			Set:     map[string]string{"drive.ready": no},
			Remedy:  "check-drive-supply",
			Noticed: "The sequence: drive_ready and drive_on go away without a fault.",
		}, {
			Name: "drive-switches-on-late", Group: DriveGroup, What: "The drive needs long until it gives torque after it was off.",
			Severity: &Scale{Target: "drive.switch_on_time", Unit: "s", Mild: 0.3, Usual: 3, Severe: 20, Text: asSeconds},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by drive_on, and only after the drive was off.",
		}, {
			Name: "drive-trips", Group: DriveGroup, What: "The drive trips on a fault of its own.",
			Set:     map[string]string{"drive.tripped": yes},
			Remedy:  "repair-drive",
			Noticed: "The sequence: drive_fault comes.",
		}, {
			Name: "current-limit-low", Group: DriveGroup, What: "The drive's current limit is too low, by its data or by its heat.",
			Severity: &Scale{Target: "drive.current_limit_rms_a", Unit: "of the limit", Mild: 0.95, Usual: 0.5, Severe: 0.15, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.CurrentLimitRMSA })},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence: the press torque is not reached in its time.",
		}, {
			Name: "torque-sign-turned", Group: DriveGroup, What: "The drive presses the wrong way round.",
			Set:     map[string]string{"drive.torque_sign_reversed": yes},
			Remedy:  "check-drive-data",
			Noticed: "The sequence, by the sign of the torque; the judge, if its sense is signed.",
		}, {
			Name: "press-ignored", Group: DriveGroup, What: "The drive goes on holding when it is told to press.",
			Set:     map[string]string{"drive.ignores_press": yes},
			Remedy:  "check-drive-data",
			Noticed: "The sequence: the press torque is not reached in its time.",
		}, {
			Name: "magnets-weak", Group: DriveGroup, What: "The motor's magnets have lost strength, by heat or by too much current: an ampere gives less torque.",
			Severity: &Scale{Target: "motor.magnet_condition", Unit: "of the torque constant", Mild: 0.97, Usual: 0.75, Severe: 0.5, Text: asItIs},
			Looks:    looksHeavy, Remedy: "repair-motor",
			Noticed: "The sequence, by more current than the load needs; the judge takes current for torque and cannot.",
		}, {
			Name: "drive-detuned", Group: DriveGroup, What: "The speed loop is far too soft, as after a change of its data.",
			Severity: &Scale{Target: "drive.speed_bandwidth_hz", Unit: "of the bandwidth", Mild: 0.8, Usual: 0.3, Severe: 0.05, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedBandwidthHz })},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by a position that lags and swings in a move.",
		}, {
			Name: "drive-slow", Group: DriveGroup, What: "The drive travels far too slowly, as with a speed limit that was left on.",
			Severity: &Scale{Target: "drive.speed_mm_s", Unit: "of the speed", Mild: 0.8, Usual: 0.25, Severe: 0.02, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.SpeedMMS })},
			Remedy:   "check-drive-data",
			Noticed:  "The sequence, by the time of a travel.",
		},
	}
}

func sensorFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "encoder-noisy", Group: SensorGroup, What: "The encoder's signal is disturbed, as by a bad shield.",
			Severity: &Scale{Target: "encoder.noise_deg", Unit: "deg", Mild: 0.015, Usual: 0.1, Severe: 1, Text: asItIs},
			Remedy:   "check-encoder-cable",
			Noticed:  "The sequence, by a position and a torque that tremble; the judge, past its window.",
		}, {
			Name: "encoder-jumps", Group: SensorGroup, What: "The encoder has slipped on its shaft, or has lost counts.",
			Severity: &Scale{Target: "encoder.offset_deg", Unit: "deg", Mild: 0.5, Usual: 5, Severe: 60, Text: onTopOf(func(r *plant.Rig) float64 { return r.Encoder.OffsetDeg })},
			Remedy:   "replace-encoder",
			Noticed:  "The judge, past its window; the sequence, by a position that jumps.",
		}, {
			Name: "encoder-drifts", Group: SensorGroup, What: "The encoder's reading runs away.",
			Severity: &Scale{Target: "encoder.drift_deg_per_s", Unit: "deg/s", Mild: 0.1, Usual: 3, Severe: 40, Text: asItIs},
			Remedy:   "replace-encoder",
			Noticed:  "The judge: the position leaves the window, although nothing moves.",
		}, {
			Name: "encoder-frozen", Group: SensorGroup, What: "The encoder goes on sending the last position.",
			Set:     map[string]string{"encoder.frozen": yes},
			Remedy:  "replace-encoder",
			Noticed: "The judge, if it watches for a position that never changes; the sequence, by a move that does not come about.",
		}, {
			Name: "encoder-lost", Group: SensorGroup, What: "The encoder is gone, as with its cable off, and says so.",
			Set:     map[string]string{"encoder.lost": yes},
			Remedy:  "check-encoder-cable",
			Noticed: "Both sides: the drive trips, and the judge calls the position lost.",
		}, {
			Name: "current-noisy", Group: SensorGroup, What: "The measured current is disturbed.",
			Severity: &Scale{Target: "drive.current_noise_rms_a", Unit: "of the current limit", Mild: 0.003, Usual: 0.03, Severe: 0.2, Text: timesOf(func(r *plant.Rig) float64 { return r.Drive.CurrentLimitRMSA })},
			Remedy:   "repair-drive",
			Noticed:  "The sequence, by a torque that trembles; the judge, by a dwell that starts anew.",
		}, {
			Name: "feedback-stuck-closed", Group: SensorGroup, What: "The switch on the brake says closed, whatever the armature does.",
			Set:     map[string]string{"brake.feedback": plant.FeedbackClosed},
			Remedy:  "replace-brake-switch",
			Noticed: "The sequence, by a feedback that does not go when the brake opens.",
		}, {
			Name: "feedback-stuck-open", Group: SensorGroup, What: "The switch on the brake says open, whatever the armature does.",
			Set:   map[string]string{"brake.feedback": plant.FeedbackOpen},
			Looks: looksOpen, Remedy: "replace-brake-switch",
			Noticed: "The sequence: the feedback does not come in its time; the judge takes the brake for open.",
		},
	}
}

func linkFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "link-down", Group: LinkGroup, What: "No signal comes through between the two sides.",
			Set:     map[string]string{"link.down": yes},
			Remedy:  "check-link",
			Noticed: "The watchdogs of both sides: they read safe values, and the proof is gone.",
		}, {
			Name: "ask-held", Group: LinkGroup, What: "The safety side goes on reading the last ask, as from a block that is no longer refreshed.",
			Set:   map[string]string{"link.ask_held": yes},
			Looks: looksNoLink, Remedy: "check-signal-programs",
			Noticed: "The sequence, by an answer that does not come.",
		}, {
			Name: "verdict-held", Group: LinkGroup, What: "The functional side goes on reading the last verdict.",
			Set:   map[string]string{"link.verdict_held": yes},
			Looks: looksNoLink, Remedy: "check-signal-programs",
			Noticed: "The sequence, if it takes only a verdict that is younger than its ask.",
		}, {
			Name: "link-slow", Group: LinkGroup, What: "Signals between the two sides arrive late.",
			Severity: &Scale{Target: "clock.link_delay_scans", Unit: "safety scans", Mild: 2, Usual: 8, Severe: 16, Text: asCount},
			Remedy:   "check-link",
			Noticed:  "The sequence, by the time until an answer comes.",
		},
	}
}

func partnerFaults() []CatalogueFault {
	return []CatalogueFault{
		{
			Name: "partner-brake-closed", Group: PartnerGroup, What: "The partner's brake does not open.",
			Set:   map[string]string{"partner.brake.opens_to": "1"},
			Needs: hasPartner, Remedy: "check-partner",
			Noticed: "The sequence, when it travels coupled; decoupled, nobody.",
		}, {
			Name: "partner-drive-holds", Group: PartnerGroup, What: "The partner's drive holds its shaft where it is.",
			Set:      map[string]string{"partner.drive_holds": yes},
			Severity: &Scale{Target: "partner.drive_limit_nm", Unit: "of the load torque", Mild: 0.1, Usual: 1.5, Severe: 3, Text: timesOf(loadTorque)},
			Needs:    hasPartner, Remedy: "check-partner",
			Noticed: "The sequence, when it travels coupled; pressed coupled, nobody, and it carries part of the test.",
		}, {
			Name: "partner-lining-worn", Group: PartnerGroup, What: "The lining of the partner's brake is worn.",
			Severity: &Scale{Target: "partner.brake.condition", Unit: "of the rated torque", Mild: 0.75, Usual: 0.35, Severe: 0.15, Text: asItIs},
			Needs:    hasPartner, Remedy: "check-partner",
			Noticed: "Nobody, until the partner has a test of its own.",
		}, {
			Name: "coupling-stuck", Group: PartnerGroup, What: "The coupling to the partner does not open.",
			Set:   map[string]string{"partner.stays_coupled": yes},
			Needs: hasPartner, Remedy: "check-coupling",
			Noticed: "The sequence: the switch on the coupling goes on saying coupled.",
		}, {
			Name: "coupling-lies", Group: PartnerGroup, What: "The coupling says that it is open, and is not.",
			Set:   map[string]string{"partner.stays_coupled": yes, "partner.says_decoupled": yes},
			Needs: hasPartner, Remedy: "check-coupling",
			Noticed: "The sequence, while it wants the coupling closed; once it wants it open, nobody.",
		}, {
			Name: "coupling-slow", Group: PartnerGroup, What: "The coupling takes long to open and to close.",
			Severity: &Scale{Target: "partner.decouple_time", Unit: "s", Mild: 0.5, Usual: 2, Severe: 8, Text: asSeconds},
			Needs:    hasPartner, Remedy: "check-coupling",
			Noticed: "The sequence, by the time until the switch on the coupling follows.",
		}, {
			Name: "coupling-gap-grown", Group: PartnerGroup, What: "The coupling has worn and has more free turn.",
			Severity: &Scale{Target: "partner.coupling_gap_deg", Unit: "deg", Mild: 2, Usual: 15, Severe: 80, Text: asItIs},
			Needs:    hasPartner, Remedy: "check-coupling",
			Noticed: "The sequence, by a jerk of the torque in a coupled travel, if at all.",
		},
	}
}

// judgeFaults are wrong engineering data: what somebody typed.
func judgeFaults() []CatalogueFault {
	judge := func(value func(*plant.Judge) float64) func(*plant.Rig, float64) string {
		return timesOf(func(r *plant.Rig) float64 { return value(&r.Judge) })
	}
	window := func(j *plant.Judge) float64 { return j.WindowDeg }
	dwell := timesPeriod(func(r *plant.Rig) time.Duration { return r.Judge.Dwell })
	return []CatalogueFault{
		{
			Name: "window-too-wide", Group: EngineeringGroup, What: "The judge's window is so wide that a slipping brake stays inside.",
			Severity: &Scale{Target: "judge.window_deg", Unit: "of the window", Mild: 2, Usual: 10, Severe: 50, Text: judge(window)},
			Remedy:   "correct-data",
			Noticed:  "Nobody in operation; a check of the data, or a test with a brake that is known to be weak.",
		}, {
			Name: "window-too-tight", Group: EngineeringGroup, What: "The judge's window is tighter than the noise of the encoder.",
			Severity: &Scale{Target: "judge.window_deg", Unit: "of the window", Mild: 0.5, Usual: 0.02, Severe: 0.005, Text: judge(window)},
			Remedy:   "correct-data",
			Noticed:  "The judge fails a brake that holds: moved, without a movement to be seen.",
		}, {
			Name: "dwell-too-short", Group: EngineeringGroup, What: "The judge is content with torque for a moment.",
			Severity: &Scale{Target: "judge.dwell", Unit: "of the dwell", Mild: 0.8, Usual: 0.2, Severe: 0.02, Text: dwell},
			Remedy:   "correct-data",
			Noticed:  "The sequence, by a proof that comes too soon.",
		}, {
			Name: "deadline-too-short", Group: EngineeringGroup, What: "The judge waits for a full dwell hardly longer than a dwell takes.",
			Severity: &Scale{Target: "judge.deadline", Unit: "of the dwell", Mild: 1.5, Usual: 1.02, Severe: 1, Text: dwell},
			Remedy:   "correct-data",
			Noticed:  "The judge fails a brake that holds: no-dwell, if the least thing disturbs the torque.",
		}, {
			Name: "sense-by-magnitude", Group: EngineeringGroup, What: "The judge looks at the size of the current and not at its direction.",
			Set:     map[string]string{"judge.sense": plant.SenseMagnitude},
			Remedy:  "correct-data",
			Noticed: "Nobody: the current that holds the load is enough for it.",
		}, {
			Name: "ceiling-too-low", Group: EngineeringGroup, What: "The ceiling of the safety side lies below the torque of the test.",
			Severity: &Scale{Target: "judge.ceiling_nm", Unit: "of the ceiling", Mild: 0.95, Usual: 0.4, Severe: 0.05, Text: judge(func(j *plant.Judge) float64 { return j.CeilingNM })},
			Remedy:   "correct-data",
			Noticed:  "The judge: over-torque, and the drive is stopped.",
		}, {
			Name: "interval-wrong", Group: EngineeringGroup, What: "The judge's proof lasts for another time than the sequence counts on.",
			Severity: &Scale{Target: "judge.interval", Unit: "of the interval", Mild: 0.95, Usual: 0.5, Severe: 0.05, Text: timesPeriod(func(r *plant.Rig) time.Duration { return r.Judge.Interval })},
			Remedy:   "correct-data",
			Noticed:  "The sequence: the proof that it gets does not look fresh.",
		}, {
			Name: "requirement-too-high", Group: EngineeringGroup, What: "The judge has a required current of its own, and it is more than is pressed.",
			Set: map[string]string{"judge.requirement": plant.RequirementFixed},
			Severity: &Scale{Target: "judge.required_a", Unit: "of what pressing down needs", Mild: 1.1, Usual: 1.5, Severe: 5, Text: timesOf(func(r *plant.Rig) float64 {
				return plant.Derive(r).RequiredDownAmpA
			})},
			Remedy:  "correct-data",
			Noticed: "The judge: no-torque at its deadline, although the sequence has reached its own.",
		},
	}
}
