package catalogue

import "holdbench/plant"

// positionFaults are those of the encoder.
func positionFaults() []Entry {
	return []Entry{
		{
			Name: "encoder-noisy", Group: SensorGroup, What: "The encoder's signal is disturbed, as by a bad shield.",
			Scale:      &Scale{Target: "encoder.noise_deg", Unit: "deg", Mild: 0.015, Usual: 0.1, Severe: 1},
			Remedy:     "check-encoder-cable",
			DetectedBy: "The sequence, by the noise of position and torque; the judge: the position leaves the window.",
		}, {
			Name: "encoder-jumps", Group: SensorGroup, What: "The encoder has slipped on its shaft, or has lost counts.",
			Scale:      &Scale{Target: "encoder.offset_deg", Unit: "deg", Mild: 0.5, Usual: 5, Severe: 60, text: onTopOf(func(r *plant.Rig) float64 { return r.Encoder.OffsetDeg })},
			Remedy:     "replace-encoder",
			DetectedBy: "The judge: the position leaves the window; the sequence, by a position that jumps. The field angle jumps as well where the drive takes it from this encoder.",
		}, {
			Name: "encoder-drifts", Group: SensorGroup, What: "The reading of the encoder drifts.",
			Scale:      &Scale{Target: "encoder.drift_deg_per_s", Unit: "deg/s", Mild: 0.1, Usual: 3, Severe: 40},
			Remedy:     "replace-encoder",
			DetectedBy: "The judge: the position leaves the window, although nothing moves; the sequence, by a load that takes more and more current where the field angle drifts as well.",
		}, {
			Name: "encoder-frozen", Group: SensorGroup, What: "The encoder keeps sending the last position.",
			Set:        map[string]string{"encoder.frozen": yes},
			Remedy:     "replace-encoder",
			DetectedBy: "The judge, if it monitors a position that never changes; the sequence, by a move that does not happen, with the torque lost where the field angle is frozen as well.",
		}, {
			Name: "encoder-lost", Group: SensorGroup, What: "The encoder has failed, as with its cable off, and reports it.",
			Set:        map[string]string{"encoder.lost": yes},
			Remedy:     "check-encoder-cable",
			DetectedBy: "Both sides: the drive trips, and the judge fails with position-lost.",
		}, {
			Name: "encoder-scale-wrong", Group: SensorGroup, What: "The encoder counts more than the shaft turns, as with a slipping belt, a wrong gear ratio or lost lines.",
			Scale:      &Scale{Target: "encoder.scale", Unit: "reading over movement, from the onset of the fault", Mild: 1.005, Usual: 1.05, Severe: 1.3},
			Remedy:     "replace-encoder",
			DetectedBy: "The sequence, by the current of the load where the field angle is wrong as well; otherwise not detectable at rest: only a known reference position shows it.",
		}, {
			Name: "encoder-wraps-wrong", Group: SensorGroup, What: "The single turn that the judge reads is short of a full turn, and it wraps at the present position.",
			Scale:      &Scale{Target: "encoder.wrap_error_deg", Unit: "deg short", Mild: 2, Usual: 20, Severe: 90},
			Remedy:     "check-signal-programs",
			DetectedBy: "The judge: the position leaves the window, although the shaft hardly moves; not detectable away from the wrap.",
		},
	}
}

// currentFaults are those of the measured current.
func currentFaults() []Entry {
	return []Entry{
		{
			Name: "current-noisy", Group: SensorGroup, What: "The current that the drive measures is disturbed.",
			Scale:      &Scale{Target: "drive.current_noise_rms_a", Unit: "of the current limit", Mild: 0.003, Usual: 0.03, Severe: 0.2, text: timesOf(func(r *plant.Rig) float64 { return r.Drive.CurrentLimitRMSA })},
			Remedy:     "repair-drive",
			DetectedBy: "The sequence, by the noise of the torque; the judge, by a dwell that is reset.",
		}, {
			Name: "current-offset", Group: SensorGroup, What: "The drive measures its current with an offset, as from a transducer that has drifted, and regulates what it measures.",
			Scale:      &Scale{Target: "drive.current_offset_rms_a", Unit: "of the current limit", Mild: 0.01, Usual: 0.05, Severe: 0.3, text: timesOf(currentLimit)},
			Remedy:     "repair-drive",
			DetectedBy: "The sequence, by the torque that holds the load, and by a current with the drive off; the judge, if it has a transducer of its own.",
		}, {
			Name: "current-gain-wrong", Group: SensorGroup, What: "The drive measures more current than flows and regulates what it measures, so that the motor presses with less torque than both sides read.",
			Scale:   &Scale{Target: "drive.current_gain", Unit: "measured over true", Mild: 1.03, Usual: 1.3, Severe: 2},
			Symptom: heavyLoad, Remedy: "repair-drive",
			DetectedBy: "The sequence, by the torque that holds the load; the judge, if it has a transducer of its own: no-torque.",
		}, {
			Name: "current-frozen", Group: SensorGroup, What: "The reading of the current is frozen, and the current loop runs to the peak current of the drive.",
			Set:        map[string]string{"drive.current_frozen": yes},
			Remedy:     "repair-drive",
			DetectedBy: "The judge, if it has a transducer of its own: over-torque. By the reading alone the sequence notices a torque that is not reached or cannot be removed.",
		}, {
			Name: "judge-current-gain-wrong", Group: SensorGroup, What: "The judge's own transducer measures more current than flows.",
			Scale: &Scale{Target: "judge.current_gain", Unit: "measured over true", Mild: 1.03, Usual: 1.3, Severe: 2},
			Needs: hasOwnTransducer, Remedy: "check-judge-transducer",
			DetectedBy: "The judge, if the press then exceeds its ceiling; otherwise only by comparison with the current of the drive.",
		}, {
			Name: "judge-current-offset", Group: SensorGroup, What: "The judge's own transducer has an offset.",
			Scale: &Scale{Target: "judge.current_offset_rms_a", Unit: "of the current limit", Mild: 0.01, Usual: 0.05, Severe: 0.3, text: timesOf(currentLimit)},
			Needs: hasOwnTransducer, Remedy: "check-judge-transducer",
			DetectedBy: "The judge: no-torque in the one direction; in the other only by comparison with the current of the drive.",
		},
	}
}

func hasOwnTransducer(r *plant.Rig) bool { return r.Judge.Transducer == plant.TransducerOwn }

func currentLimit(r *plant.Rig) float64 { return r.Drive.CurrentLimitRMSA }

// feedbackFaults are those of the signal that the brake is closed.
func feedbackFaults() []Entry {
	return []Entry{
		{
			Name: "feedback-stuck-closed", Group: SensorGroup, Needs: hasFeedback, What: "The feedback of the brake reads closed, whatever the brake does.",
			Set:        map[string]string{"brake.feedback_signal": plant.SignalClosed},
			Remedy:     "replace-brake-switch",
			DetectedBy: "The sequence, by a feedback that stays when the brake opens.",
		}, {
			Name: "feedback-stuck-open", Group: SensorGroup, Needs: hasFeedback, What: "The feedback of the brake reads open, whatever the brake does.",
			Set:     map[string]string{"brake.feedback_signal": plant.SignalOpen},
			Symptom: notClosed, Remedy: "replace-brake-switch",
			DetectedBy: "The sequence: the feedback does not come in time; the judge reads an open brake.",
		}, {
			Name: "feedback-missing", Group: SensorGroup, Needs: hasFeedback, What: "The wire of the feedback is off: both sides read open, as from a switch that is stuck open.",
			Set:     map[string]string{"brake.feedback_signal": plant.SignalMissing},
			Symptom: notClosed, Remedy: "replace-brake-switch",
			DetectedBy: "The sequence: the feedback does not come in time; the judge reads an open brake.",
		}, {
			Name: "feedback-chatters", Group: SensorGroup, Needs: hasFeedback, What: "The contact of the feedback bounces while the brake is closed.",
			Set:        map[string]string{"brake.feedback_signal": plant.SignalChattering},
			Remedy:     "replace-brake-switch",
			DetectedBy: "The sequence, by a feedback that is interrupted; the judge: brake-open, after a single scan without it.",
		},
	}
}

func hasFeedback(r *plant.Rig) bool { return r.Brake.Feedback != plant.FeedbackNone }
