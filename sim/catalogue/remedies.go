package catalogue

// Remedy is what engineering or maintenance does about a fault.
type Remedy struct {
	Name string // short and hyphenated: replace-brake
	Text string // one sentence
}

// Remedies lists what is done about the faults of the catalogue. After each of them the
// brake is tested again.
func Remedies() []Remedy {
	return []Remedy{
		{"replace-brake", "Replace the lining or the whole brake."},
		{"clean-and-find-leak", "Find the leak and stop it, then clean or replace the lining."},
		{"run-brake-in", "Run the brake in again with slip at low speed and limited torque, and have it slip now and then in operation."},
		{"let-cool", "Let the machine cool, find out where the heat comes from, and choose a brake that holds when hot."},
		{"check-coil-supply", "Measure the voltage at the coil, open and closed; check contacts, cable, coil and what quenches the coil."},
		{"set-air-gap", "Measure the air gap, set it anew or replace the worn disc."},
		{"repair-brake-mechanics", "Take the brake apart: springs, guides of the armature, hub; remove dirt and replace what is worn."},
		{"replace-brake-switch", "Set or replace the switch on the brake, and check it in both positions."},
		{"check-load", "Weigh what hangs on the axis and hold it against the engineering data."},
		{"check-gripper", "Look for the workpiece, and check the gripper and its supply."},
		{"repair-counterbalance", "Check the counterbalance: pressure, gas, chain or rope."},
		{"repair-transmission", "Prop the load, and repair screw, belt or coupling."},
		{"clear-the-way", "Clear what stands in the way, and check axis and guide for damage."},
		{"service-guide", "Clean, grease and align the guide."},
		{"check-drive-supply", "Check the drive's supply and its release, contact by contact."},
		{"check-drive-data", "Hold the drive's data against those of its commissioning: limits, sign, loops, modes."},
		{"repair-drive", "Read what the drive has stored of its fault, and have it looked at."},
		{"repair-motor", "Measure the motor's torque constant, and replace the motor if it has lost strength."},
		{"check-encoder-cable", "Check cable, plugs and shield of the encoder."},
		{"replace-encoder", "Check how the encoder sits on its shaft, replace it, and set its zero anew."},
		{"check-link", "Check the link between the two sides: cable, switches, load, cycle times."},
		{"check-signal-programs", "Check in both programs how the signals between the sides are copied, and that a stale one is noticed."},
		{"check-coupling", "Check coupling and actuator, and its switch against what the coupling truly does."},
		{"check-partner", "Check brake and drive of the partner, and test its brake on its own."},
		{"repeat-the-test", "Nothing is broken: find out why the test was disturbed, and repeat it."},
		{"check-power", "Find out why the power went away, see that the load is safe, and repeat the test."},
		{"choose-test-position", "Test where nothing but drive and brake bears the load, where the load is at its worst or the harder is pressed, and clear of the wrap."},
		{"correct-data", "Hold the engineering data of the check against the sizing, have somebody else confirm them, and validate again."},
	}
}
