package remote

import "fmt"

// Version is that of the protocol. It changes when a client for the version before could no longer
// take part.
const Version = 1

// What a line may be.
const (
	// MaxLine bounds an answer, in bytes with the end of the line. Longer ones are refused.
	MaxLine = 64 << 10
	// MaxText bounds each text in an answer, in bytes.
	MaxText = 200
	// MaxNumber bounds the size of each number in an answer. It is far above what any output can mean,
	// in mm, N·m or A, and far below what the arithmetic of the plant could not bear.
	MaxNumber = 1e6
)

// The types of the lines that go out.
const (
	typeHello   = "hello"
	typeReset   = "reset"
	typeScan    = "scan"
	typePowerUp = "power_up"
	typeRefused = "refused"
)

// refusal is the last line of a connection that cannot take part.
type refusal struct {
	Type    string `json:"type"`
	Because string `json:"because"`
}

// LineType is a type of the lines that go out, for help and schema.
type LineType struct {
	Name  string
	About string
}

// LineTypes lists the types of the lines that go out, each answered by one line; after the last of them
// the connection ends.
func LineTypes() []LineType {
	return []LineType{
		{typeHello, "the first line of a connection: version, rig, scan time, all signals, the states and parameters of the sequence"},
		{typeReset, "a new run begins, with its rig, sequence and parameters: everything is as after switching on, nothing is retained"},
		{typeScan, "one scan: the time and all inputs"},
		{typePowerUp, "the power of the controller has returned: what is retained over a loss of power stays"},
		{typeRefused, "the connection ends, for the reason in because: another controller is connected, or the version is another one; without n, and no answer is awaited"},
	}
}

// AnswerKey is a key of an answer to a scan, for help and schema.
type AnswerKey struct {
	Name  string
	Kind  string // of JSON: string, integer, object
	About string
}

// GreetingKeys lists the keys of an answer to hello. Each may be left out.
func GreetingKeys() []AnswerKey {
	return []AnswerKey{
		{keyVersion, "integer", fmt.Sprintf("the version of the protocol that it speaks, %d; another one is refused", Version)},
		{"name", "string", "the name of the controller: results say \"controller NAME\", and \"controller outside\" without it"},
		{"states", "array", "its states, {name} or {name, end} with end pass, fail or stop, in place of those of the sequence"},
		{"start", "string", "the state in which a run starts; the first one without it"},
		{"power_up", "string", "the state after a loss of power; start without it"},
		{"causes", "array", "further causes that a run can end with"},
		{"inputs", "array", "names of the inputs that it reads: scans then carry no others"},
		{"outputs", "array", "names of the outputs that it sets; needed for target_deg and brake_2 where the sequence does not set them"},
		{keyN, "integer", "0, the n of hello"},
	}
}

// The keys of an answer.
const (
	keyOutputs    = "outputs"
	keyState      = "state"
	keyTransition = "transition"
	keyCause      = "cause"
	keyEnd        = "end"
	keyKept       = "kept"
	keyN          = "n"
	keyVersion    = "version"
)

// AnswerKeys lists the keys of an answer to scan, reset and power_up. Each may be left out.
func AnswerKeys() []AnswerKey {
	return []AnswerKey{
		{keyOutputs, "object", "outputs by name; those left out stay as they were"},
		{keyState, "string", "the present state, one of those in hello; without it the state stays"},
		{keyTransition, "string", "a name, if a transition fired in this scan; it lets a state be entered from itself"},
		{keyCause, "string", "why the state was entered in this scan; it stays up to the next one, or a pass"},
		{keyEnd, "string", "pass, fail or stop: how the run ended, for a program that names no states"},
		{keyKept, "object", "values kept by states, by the names in hello; for display and traces"},
		{keyN, "integer", "n of the line that is answered; a wrong one is refused"},
	}
}
