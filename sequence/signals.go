package sequence

import (
	"slices"
	"sync"
)

// Signal describes one input or output under its document name. Lists, help,
// checks, trace columns and exports are made from these.
type Signal struct {
	Name   string
	Kind   Kind
	Unit   Unit
	Words  []string // the words allowed; nil for free text and for other kinds
	Note   string   // one line of description
	Output bool

	follows string // an output that has the value of another until it is set: that other one

	in  inputAccess
	out outputAccess
}

// inputAccess points into the image; one of the three is set, by kind, and with a number how it is read.
type inputAccess struct {
	boolean func(*Inputs) *bool
	number  func(*Inputs) *float64
	read    func(*Inputs) float64
	word    func(*Inputs) *string
}

// outputAccess points into the image; an enum goes by its index into Words.
type outputAccess struct {
	boolean func(*Outputs) *bool
	number  func(*Outputs) *float64
	text    func(*Outputs) *string
	get     func(*Outputs) int
	set     func(*Outputs, int)
}

// InputSignals is the table of inputs in the order of traces and help.
func InputSignals() []Signal { return slices.Clone(inputTable()) }

// OutputSignals is the table of outputs in the order of traces and help.
func OutputSignals() []Signal { return slices.Clone(outputTable()) }

// FindOutput is the output of a name.
func FindOutput(name string) (Signal, bool) {
	table := outputTable()
	i := slices.IndexFunc(table, func(s Signal) bool { return s.Name == name })
	if i < 0 {
		return Signal{}, false
	}
	return table[i], true
}

//nolint:gochecknoglobals // made once, never changed
var inputTable = sync.OnceValue(func() []Signal {
	return []Signal{
		booleanInput("trigger", "start the test", func(i *Inputs) *bool { return &i.Trigger }),
		booleanInput("cancel", "cancel the test in an orderly way", func(i *Inputs) *bool { return &i.Cancel }),
		booleanInput("estop", "emergency stop is pressed; the safety side reacts to it", func(i *Inputs) *bool { return &i.Estop }),
		booleanInput("reset", "the reset button of the safety side is pressed", func(i *Inputs) *bool { return &i.Reset }),
		booleanInput("acknowledge", "the button that acknowledges a failure of the judge is pressed; its release acts", func(i *Inputs) *bool { return &i.Acknowledge }),
		booleanInput("guard_closed", "the guard is closed and locked", func(i *Inputs) *bool { return &i.GuardClosed }),
		booleanInput("setup_mode", "the mode switch is at setup", func(i *Inputs) *bool { return &i.SetupMode }),
		booleanInput("access", "a person asks to have the guard unlocked", func(i *Inputs) *bool { return &i.Access }),
		booleanInput("drive_ready", "the drive can be switched on", func(i *Inputs) *bool { return &i.DriveReady }),
		booleanInput("drive_on", "the drive is switched on and can carry the load", func(i *Inputs) *bool { return &i.DriveOn }),
		booleanInput("drive_fault", "the drive has shut itself off", func(i *Inputs) *bool { return &i.DriveFault }),
		numberInput("position_mm", "position measured", func(i *Inputs) *float64 { return &i.PositionMM }, func(i *Inputs) float64 { return i.PositionMM }),
		numberInput("position_deg", "position measured, on an arm", func(i *Inputs) *float64 { return &i.PositionDeg }, func(i *Inputs) float64 { return i.PositionDeg }),
		numberInput("speed", "speed measured", func(i *Inputs) *float64 { return &i.Speed }, func(i *Inputs) float64 { return i.Speed }),
		numberInput("torque_nm", "motor torque, positive raises the load", func(i *Inputs) *float64 { return &i.TorqueNM }, func(i *Inputs) float64 { return i.TorqueNM }),
		numberInput("current_rms_a", "torque-forming current, rms", func(i *Inputs) *float64 { return &i.CurrentRMSA }, func(i *Inputs) float64 { return i.CurrentRMSA }),
		booleanInput("standstill", "the axis does not move", func(i *Inputs) *bool { return &i.Standstill }),
		booleanInput("in_position", "the drive has reached its target", func(i *Inputs) *bool { return &i.InPosition }),
		booleanInput("brake_closed", "feedback of the holding brake", func(i *Inputs) *bool { return &i.BrakeClosed }),
		booleanInput("brake_2_closed", "feedback of the second brake; false without one", func(i *Inputs) *bool { return &i.Brake2Closed }),
		booleanInput("partner_coupled", "the partner is coupled to the axis", func(i *Inputs) *bool { return &i.PartnerCoupled }),
		booleanInput("judge_busy", "the judge is running a check", func(i *Inputs) *bool { return &i.JudgeBusy }),
		booleanInput("proof", "the judge's proof is valid, of every brake", func(i *Inputs) *bool { return &i.Proof }),
		booleanInput("judge_failed", "the judge has failed the brake; it stays so until the failure has ended as the rig says", func(i *Inputs) *bool { return &i.JudgeFailed }),
		wordInput("judge_cause", "reason of the failure", JudgeCauses(), func(i *Inputs) *string { return &i.JudgeCause }),
		wordInput("tested", "directions that the newest test of the closed brake has passed", TestedWords(), func(i *Inputs) *string { return &i.Tested }),
		numberInput("test_count", "verdicts of the judge, each direction passed and each failure; kept over a loss of power", func(i *Inputs) *float64 { return &i.TestCount }, func(i *Inputs) float64 { return i.TestCount }),
		booleanInput("proof_due", "the proof has lapsed, or lapses within judge.warning_time", func(i *Inputs) *bool { return &i.ProofDue }),
		numberInput("proof_left_s", "time until the proof lapses; of two brakes the shorter", func(i *Inputs) *float64 { return &i.ProofLeftS }, func(i *Inputs) float64 { return i.ProofLeftS }),
		numberInput("brake_1_proof_left_s", "time until the proof of the first brake lapses", func(i *Inputs) *float64 { return &i.Brake1ProofLeftS }, func(i *Inputs) float64 { return i.Brake1ProofLeftS }),
		numberInput("brake_2_proof_left_s", "time until the proof of the second brake lapses; 0 without one", func(i *Inputs) *float64 { return &i.Brake2ProofLeftS }, func(i *Inputs) float64 { return i.Brake2ProofLeftS }),
		booleanInput("safe_stop", "the safety side stops the axis: drive to rest, brake closed, torque off", func(i *Inputs) *bool { return &i.SafeStop }),
		booleanInput("reset_needed", "the demand of the stop is gone, and a reset ends it", func(i *Inputs) *bool { return &i.ResetNeeded }),
		wordInput("stop_cause", "what demanded the stop of the safety side", StopCauses(), func(i *Inputs) *string { return &i.StopCause }),
		booleanInput("operation_inhibited", "the safety side withholds operation", func(i *Inputs) *bool { return &i.OperationInhibited }),
		numberInput("scan_s", "time between two scans", func(i *Inputs) *float64 { return &i.ScanS }, func(i *Inputs) float64 { return i.ScanS }),
		numberInput("in_state_s", "time in the present state", func(i *Inputs) *float64 { return &i.InStateS }, func(i *Inputs) float64 { return i.InStateS }),
	}
})

//nolint:gochecknoglobals // made once, never changed
var outputTable = sync.OnceValue(func() []Signal {
	return []Signal{
		wordOutput("drive", "what the drive does", driveWords(),
			func(o *Outputs) int { return int(o.Drive) }, func(o *Outputs, i int) { o.Drive = DriveMode(i) }),
		numberOutput("target_mm", "where a move ends", func(o *Outputs) *float64 { return &o.TargetMM }),
		numberOutput("target_deg", "where a move ends, on an arm", func(o *Outputs) *float64 { return &o.TargetDeg }),
		numberOutput("move_speed_mm_s", "speed of a move; 0 is the setting of the drive", func(o *Outputs) *float64 { return &o.MoveSpeed }),
		numberOutput("press_torque_nm", "torque of a press, positive raises the load", func(o *Outputs) *float64 { return &o.PressTorqueNM }),
		numberOutput("press_rate_nm_s", "how fast a press builds up", func(o *Outputs) *float64 { return &o.PressRateNMS }),
		numberOutput("torque_limit_nm", "torque limit of the drive; 0 is its own setting", func(o *Outputs) *float64 { return &o.TorqueLimitNM }),
		numberOutput("required_current_a", "current that the judge requires, amplitude, signed by direction", func(o *Outputs) *float64 { return &o.RequiredCurrentA }),
		wordOutput("brake", "command to the holding brake", brakeWords(),
			func(o *Outputs) int { return int(o.Brake) }, func(o *Outputs, i int) { o.Brake = BrakeCommand(i) }),
		wordOutput("brake_2", "command to the second brake; that of brake until a state sets it", brakeWords(),
			func(o *Outputs) int { return int(o.Brake2Command()) }, func(o *Outputs, i int) { o.Brake2 = Brake2Open + SecondBrakeCommand(i) }).following("brake"),
		booleanOutput("decouple", "decouple the partner", func(o *Outputs) *bool { return &o.Decouple }),
		wordOutput("ask", "ask the judge to check the closed brake in this direction", askWords(),
			func(o *Outputs) int { return int(o.Ask) }, func(o *Outputs, i int) { o.Ask = Ask(i) }),
		wordOutput("operation", "whether the machine may be operated", operationWords(),
			func(o *Outputs) int { return int(o.Operation) }, func(o *Outputs, i int) { o.Operation = Operation(i) }),
		textOutput("alarm", "text for the operator", func(o *Outputs) *string { return &o.Alarm }),
	}
})

//nolint:gochecknoglobals // made once, never changed
var outputNames = sync.OnceValue(func() []string {
	var names []string
	for _, s := range outputTable() {
		names = append(names, s.Name)
	}
	return names
})

func booleanInput(name, note string, at func(*Inputs) *bool) Signal {
	return Signal{Name: name, Kind: KindBoolean, Note: note, in: inputAccess{boolean: at}}
}

// numberInput has the same number to write and to read: conditions read in every scan.
func numberInput(name, note string, at func(*Inputs) *float64, read func(*Inputs) float64) Signal {
	return Signal{Name: name, Kind: KindNumber, Unit: UnitOf(name), Note: note, in: inputAccess{number: at, read: read}}
}

func wordInput(name, note string, words []string, at func(*Inputs) *string) Signal {
	return Signal{Name: name, Kind: KindWord, Words: words, Note: note, in: inputAccess{word: at}}
}

func booleanOutput(name, note string, at func(*Outputs) *bool) Signal {
	return Signal{Name: name, Kind: KindBoolean, Note: note, Output: true, out: outputAccess{boolean: at}}
}

func numberOutput(name, note string, at func(*Outputs) *float64) Signal {
	return Signal{Name: name, Kind: KindNumber, Unit: UnitOf(name), Note: note, Output: true, out: outputAccess{number: at}}
}

func textOutput(name, note string, at func(*Outputs) *string) Signal {
	return Signal{Name: name, Kind: KindWord, Note: note, Output: true, out: outputAccess{text: at}}
}

// following is the output with the value of another until it is set.
func (s Signal) following(other string) Signal {
	s.follows = other
	return s
}

func wordOutput(name, note string, words []string, get func(*Outputs) int, set func(*Outputs, int)) Signal {
	return Signal{Name: name, Kind: KindWord, Words: words, Note: note, Output: true, out: outputAccess{get: get, set: set}}
}
