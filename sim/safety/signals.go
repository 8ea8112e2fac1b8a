package safety

import (
	"slices"
	"strconv"
	"sync"
	"time"
)

// Kind is what a signal carries.
type Kind uint8

// The kinds.
const (
	KindBoolean Kind = iota
	KindNumber
	KindWord
)

// String names the kind as lists do.
func (k Kind) String() string { return [...]string{"boolean", "number", "word"}[k] }

// Signal describes one input or output of the safety side. Lists and help are made from these.
type Signal struct {
	Name   string
	Kind   Kind
	Unit   string   // of a number, empty for a count
	Words  []string // the words allowed; nil for other kinds
	Note   string   // one line of description
	Output bool

	// which field of the image it is; a test holds that each field has its signal
	in  func(*Inputs) string
	out func(*Outputs) string
}

// InputSignals is the table of inputs.
func InputSignals() []Signal { return slices.Clone(inputTable()) }

// OutputSignals is the table of outputs.
func OutputSignals() []Signal { return slices.Clone(outputTable()) }

//nolint:gochecknoglobals // made once, never changed
var inputTable = sync.OnceValue(func() []Signal {
	return []Signal{
		wordInput("ask", []string{"none", "down", "up"}, "over the link: direction in which the judge is asked to check the closed brake", func(i *Inputs) string { return i.Ask.String() }),
		numberInput("required_current_a", "A", "over the link: required current, signed by direction; read by the judge that compares a current", func(i *Inputs) float64 { return i.RequiredA }),
		wordInput("operation", []string{"allowed", "inhibited"}, "over the link: what the sequence releases; access is refused without it", func(i *Inputs) string { return operationWord(i.Released) }),
		booleanInput("estop", "the emergency stop is pressed", func(i *Inputs) bool { return i.Estop }),
		booleanInput("reset", "the reset button is pressed; its release resets", func(i *Inputs) bool { return i.Reset }),
		booleanInput("acknowledge", "the button that acknowledges a failure is pressed; its release acts", func(i *Inputs) bool { return i.Acknowledge }),
		booleanInput("guard_closed", "the guard is closed and locked; true without one", func(i *Inputs) bool { return i.GuardClosed }),
		booleanInput("setup_mode", "the mode switch is at setup", func(i *Inputs) bool { return i.SetupMode }),
		booleanInput("access", "a person asks to have the guard unlocked", func(i *Inputs) bool { return i.Access }),
		booleanInput("brake_closed", "feedback of the holding brake", func(i *Inputs) bool { return i.BrakeClosed }),
		booleanInput("brake_2_closed", "feedback of the second brake; false without one", func(i *Inputs) bool { return i.Brake2Closed }),
		numberInput("position_inc", "", "increments of the encoder within its turn", func(i *Inputs) float64 { return float64(i.SingleTurn) }),
		booleanInput("position_lost", "the encoder signal is lost", func(i *Inputs) bool { return i.PositionLost }),
		numberInput("current_a", "A", "torque-forming current, amplitude, positive raises the load", func(i *Inputs) float64 { return i.CurrentAmpA }),
		numberInput("speed_mm_s", "mm/s", "speed, positive raises the load", func(i *Inputs) float64 { return i.SpeedMMS }),
		booleanInput("standstill", "the axis does not move", func(i *Inputs) bool { return i.Standstill }),
	}
})

//nolint:gochecknoglobals // made once, never changed
var outputTable = sync.OnceValue(func() []Signal {
	return []Signal{
		booleanOutput("judge_busy", "over the link: the judge is running a check", func(o *Outputs) bool { return o.Busy }),
		booleanOutput("proof", "over the link: the proof is valid, of every brake", func(o *Outputs) bool { return o.Proof }),
		booleanOutput("judge_failed", "over the link: the judge has failed the brake, and the failure has not ended", func(o *Outputs) bool { return o.Failed }),
		{Name: "judge_cause", Kind: KindWord, Words: Causes(), Note: "over the link: reason of the failure", Output: true, out: func(o *Outputs) string { return o.Cause }},
		{Name: "tested", Kind: KindWord, Words: []string{"none", "down", "up", "both"}, Note: "over the link: directions that the newest test of the closed brake has passed", Output: true, out: func(o *Outputs) string { return o.Tested.String() }},
		{Name: "test_count", Kind: KindNumber, Note: "over the link: verdicts so far, directions passed and failures; kept over a loss of power", Output: true, out: func(o *Outputs) string { return strconv.Itoa(o.TestCount) }},
		booleanOutput("proof_due", "over the link: the proof has lapsed, or lapses within the warning time", func(o *Outputs) bool { return o.ProofDue }),
		secondsOutput("proof_left_s", "over the link: time until the proof lapses; of two brakes the shorter", func(o *Outputs) time.Duration { return o.ProofLeft }),
		secondsOutput("brake_1_proof_left_s", "over the link: time until the proof of the first brake lapses", func(o *Outputs) time.Duration { return o.Left[0] }),
		secondsOutput("brake_2_proof_left_s", "over the link: time until the proof of the second brake lapses; 0 without one", func(o *Outputs) time.Duration { return o.Left[1] }),
		booleanOutput("safe_stop", "over the link: a stop function acts on drive and brakes", func(o *Outputs) bool { return o.SafeStop }),
		booleanOutput("reset_needed", "over the link: the demand of the stop is gone, and a reset ends it", func(o *Outputs) bool { return o.ResetNeeded }),
		{Name: "stop_cause", Kind: KindWord, Words: StopCauses(), Note: "over the link: what demanded the stop first", Output: true, out: func(o *Outputs) string { return o.StopCause.String() }},
		booleanOutput("operation_inhibited", "over the link: operation is withheld, as the proof has lapsed or a failure stands", func(o *Outputs) bool { return o.OperationInhibited }),
		booleanOutput("ss1", "to the drive: come to rest and stay there, whatever the sequence commands", func(o *Outputs) bool { return o.SS1 }),
		booleanOutput("sbc", "to every brake: close, whatever the sequence commands", func(o *Outputs) bool { return o.SBC }),
		booleanOutput("sto", "to the drive: no torque", func(o *Outputs) bool { return o.STO }),
		booleanOutput("guard_unlocked", "to the guard locking: the guard may be opened", func(o *Outputs) bool { return o.GuardUnlocked }),
	}
})

func booleanInput(name, note string, value func(*Inputs) bool) Signal {
	return Signal{Name: name, Kind: KindBoolean, Note: note, in: func(i *Inputs) string { return strconv.FormatBool(value(i)) }}
}

func wordInput(name string, words []string, note string, value func(*Inputs) string) Signal {
	return Signal{Name: name, Kind: KindWord, Words: words, Note: note, in: value}
}

func operationWord(released bool) string {
	if released {
		return "allowed"
	}
	return "inhibited"
}

func numberInput(name, unit, note string, value func(*Inputs) float64) Signal {
	return Signal{Name: name, Kind: KindNumber, Unit: unit, Note: note, in: func(i *Inputs) string { return number(value(i)) }}
}

func booleanOutput(name, note string, value func(*Outputs) bool) Signal {
	return Signal{Name: name, Kind: KindBoolean, Note: note, Output: true, out: func(o *Outputs) string { return strconv.FormatBool(value(o)) }}
}

func secondsOutput(name, note string, value func(*Outputs) time.Duration) Signal {
	return Signal{Name: name, Kind: KindNumber, Unit: "s", Note: note, Output: true, out: func(o *Outputs) string { return number(value(o).Seconds()) }}
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
