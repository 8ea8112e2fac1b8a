package sequence

// Kind is what a signal, a parameter or an expression yields.
type Kind uint8

// KindUnknown marks something that was already reported as wrong, so that
// one mistake does not bring a trail of others.
const (
	KindUnknown Kind = iota
	KindBoolean
	KindNumber
	KindWord
)

// String names the kind as messages do.
func (k Kind) String() string {
	return wordAt(int(k), "unknown", "boolean", "number", "word")
}

// DriveMode is what the sequence asks of the drive.
type DriveMode uint8

// DriveOff removes the drive torque; DriveHold keeps the position measured and the
// torque present at that moment; DriveMove travels to the target; DrivePress
// builds up the press torque at the press rate.
const (
	DriveOff DriveMode = iota
	DriveHold
	DriveMove
	DrivePress
)

// String returns the document's word.
func (m DriveMode) String() string { return wordAt(int(m), driveWords()...) }

// BrakeCommand is what the sequence asks of the holding brake.
type BrakeCommand uint8

// BrakeOpen energises the brake, BrakeClosed lets it close.
const (
	BrakeOpen BrakeCommand = iota
	BrakeClosed
)

// SecondBrakeCommand is what the sequence asks of a second brake. Until a state sets it, it is the
// command of the first: simple machines have one output for both. So an output that is never set
// is closed whenever the first brake is, and a sequence for one brake leaves no brake open that it
// does not know.
type SecondBrakeCommand uint8

// Brake2AsFirst follows the first brake, the others are commands of its own.
const (
	Brake2AsFirst SecondBrakeCommand = iota
	Brake2Open
	Brake2Closed
)

// Brake2Command is the command of the second brake.
func (o *Outputs) Brake2Command() BrakeCommand {
	if o.Brake2 == Brake2AsFirst {
		return o.Brake
	}
	return BrakeCommand(o.Brake2 - Brake2Open)
}

// String returns the document's word.
func (c BrakeCommand) String() string { return wordAt(int(c), brakeWords()...) }

// Operation is whether the machine may be operated.
type Operation uint8

// OperationAllowed and OperationInhibited are the two answers.
const (
	OperationAllowed Operation = iota
	OperationInhibited
)

// String returns the document's word.
func (o Operation) String() string { return wordAt(int(o), operationWords()...) }

// Ask is what the sequence asks of the judge.
type Ask uint8

// AskNone asks for nothing; AskDown and AskUp ask for a check of the closed brake in the direction in
// which the motor presses.
const (
	AskNone Ask = iota
	AskDown
	AskUp
)

// String returns the document's word.
func (a Ask) String() string { return wordAt(int(a), askWords()...) }

// EndKind is how a run ended.
type EndKind uint8

// EndNone means that the run has not ended.
const (
	EndNone EndKind = iota
	EndPass
	EndFail
	EndStop
)

// String returns the document's word; none while the run goes on.
func (e EndKind) String() string { return wordAt(int(e), "none", "pass", "fail", "stop") }

// The judge's causes, as the input judge_cause carries them.
const (
	CauseNone         = ""
	CauseBrakeOpen    = "brake-open"
	CauseBothClosed   = "both-closed"
	CauseMoved        = "moved"
	CauseNoTorque     = "no-torque"
	CauseNoDwell      = "no-dwell"
	CauseOverTorque   = "over-torque"
	CausePositionLost = "position-lost"
)

// JudgeCauses lists every word judge_cause may carry.
func JudgeCauses() []string {
	return []string{
		CauseNone, CauseBrakeOpen, CauseBothClosed, CauseMoved, CauseNoTorque,
		CauseNoDwell, CauseOverTorque, CausePositionLost,
	}
}

// TestedWords lists every word that tested may carry.
func TestedWords() []string { return []string{"none", "down", "up", "both"} }

// The causes of a stop of the safety side, as the input stop_cause carries them.
const (
	StopNone       = "none"
	StopEmergency  = "emergency-stop"
	StopGuard      = "guard"
	StopSetupSpeed = "setup-speed"
	StopCeiling    = "ceiling"
	StopLapse      = "lapse"
)

// StopCauses lists every word that stop_cause may carry.
func StopCauses() []string {
	return []string{StopNone, StopEmergency, StopGuard, StopSetupSpeed, StopCeiling, StopLapse}
}

// The order of these words is the order of the constants above.
func driveWords() []string     { return []string{"off", "hold", "move", "press"} }
func brakeWords() []string     { return []string{"open", "closed"} }
func askWords() []string       { return []string{"none", "down", "up"} }
func operationWords() []string { return []string{"allowed", "inhibited"} }
func endWords() []string       { return []string{"pass", "fail", "stop"} }

// EndWords lists the kinds of ends that a document can name.
func EndWords() []string { return endWords() }

// Booleans as text.
const (
	textTrue  = "true"
	textFalse = "false"
)

func wordAt(i int, words ...string) string {
	if i < 0 || i >= len(words) {
		return "invalid"
	}
	return words[i]
}

func indexOf(words []string, word string) int {
	for i, w := range words {
		if w == word {
			return i
		}
	}
	return -1
}
