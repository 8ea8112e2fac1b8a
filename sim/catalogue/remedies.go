package catalogue

// Remedy is what engineering or maintenance does about a fault.
type Remedy struct {
	Name string // short and hyphenated: replace-brake
	Text string // one sentence
}

// Remedies lists what is done about the faults of the catalogue. After each of them the brake
// is tested again.
func Remedies() []Remedy {
	return []Remedy{
		{"replace-brake", "Replace the lining or the whole brake."},
		{"clean-and-find-leak", "Find and stop the leak, then clean or replace the lining."},
		{"run-brake-in", "Run the brake in again with slip at low speed and limited torque, and let it slip at intervals in operation."},
		{"reduce-temperature", "Let the machine cool, find the source of the heat, and choose a brake for this temperature."},
		{"check-coil-supply", "Measure the voltage at the coil, open and closed; check contacts, cable, coil and suppressor circuit."},
		{"set-air-gap", "Measure the air gap, readjust it or replace the worn friction disc."},
		{"repair-brake-mechanics", "Dismantle the brake: springs, guides of the armature, hub; remove dirt and replace worn parts."},
		{"return-hand-release", "Return the hand release, secure it, and enter in the service record that it was used."},
		{"exercise-brake", "Let the brake slip at low speed and limited torque after a long rest, keep moisture away, and test it again after the slip."},
		{"check-brake-output", "Check the output of the brake for a short circuit to the supply, and switch the coil by two channels that are tested."},
		{"replace-brake-switch", "Adjust or replace the feedback of the brake, and check it in both positions."},
		{"correct-wiring", "Correct the wiring, and verify it: close each brake alone, and see that its own input follows and the other one does not."},
		{"check-load", "Weigh the load and compare it with the engineering data."},
		{"check-gripper", "Secure the workpiece, and check the gripper and its supply."},
		{"repair-support", "Put the support back in place, and fix it."},
		{"repair-counterbalance", "Check the counterbalance: pressure, gas, chain or rope."},
		{"repair-transmission", "Prop the load, then repair screw, belt or coupling."},
		{"remove-obstacle", "Remove the obstacle, and check axis and guide for damage."},
		{"service-guide", "Clean, lubricate and align the guide."},
		{"check-drive-supply", "Check the supply of the drive and its enable circuit, contact by contact."},
		{"check-drive-data", "Compare the parameters of the drive with those of its commissioning: limits, sign, loops, modes."},
		{"repair-drive", "Read the fault memory of the drive, and have the drive inspected."},
		{"let-drive-cool", "Leave a pause between tests, and compare their number with the sizing; check the cooling of motor and drive."},
		{"check-judge-transducer", "Compare the current of the judge with that of the drive, with and without load, and adjust or replace its transducer."},
		{"repair-motor", "Measure the motor's torque constant, and replace the motor if it is too low."},
		{"check-encoder-cable", "Check cable, plugs and shield of the encoder."},
		{"replace-encoder", "Check the mounting of the encoder, replace it, and set its zero again."},
		{"check-guard", "Check interlocking device and actuator, and test them: open the guard, and see that the axis stops."},
		{"check-button", "Check the button and its wiring, and that the release of one that sticks does nothing."},
		{"check-link", "Check the link between the two sides: cable, switches, load, cycle times."},
		{"check-signal-programs", "Check in both programs how signals between the sides are copied, and that a stale one is detected."},
		{"check-scan-time", "Measure the longest scan time in every state, shorten the program or give its task a higher priority, and check the time of the watchdog."},
		{"check-coupling", "Check coupling and actuator, and compare its switch with the true position."},
		{"check-partner", "Check brake and drive of the partner, and test its brake separately."},
		{"repeat-the-test", "Nothing is defective: find out why the test was disturbed, and repeat it."},
		{"check-power", "Find the cause of the power failure, make sure that the load is safe, and repeat the test."},
		{"choose-test-position", "Test where only drive and brake carry the load, where the load torque is highest or the press is correspondingly stronger, and clear of the wrap."},
		{"correct-data", "Compare the engineering data of the check with the sizing, have a second person confirm them, and validate again."},
	}
}
