package recording

// Options say how a file is read. What is not set is found from the file.
type Options struct {
	Columns   []Column // where signals are; a signal that is not named is found by its name
	Units     []Unit   // of columns, ahead of what the file says
	Late      []Late   // signals that were recorded late
	Separator rune     // between cells: comma, semicolon, tab, space or bar; 0: found
	Decimal   rune     // of numbers: . or ,; 0: found
	Heading   int      // line of the heading, from 1; 0: found
	Span      *Span    // nil: the whole file
	Every     int      // every so many lines one is kept; 0 and 1: all
	MaxValues int      // most values that are kept, the times among them; 0: DefaultMaxValues
	Simulated bool     // a trace of a run is accepted in place of a recording
}

// DefaultMaxValues bounds what is kept of a file: 8 bytes a value.
const DefaultMaxValues = 40_000_000

// Column says where a signal is, and what makes the signal of its numbers: number · Scale + Offset, in the unit
// of the column.
type Column struct {
	Signal string
	Column string  // name in the heading, or number such as #3; empty: found by the name of the signal
	Absent bool    // the signal is left out
	Scale  float64 // 0: 1
	Offset float64
}

// Unit is the unit of the column of a signal.
type Unit struct{ Signal, Unit string }

// Late is how much later than the others a signal was recorded: its value at the time t of the file is that
// of t − Seconds.
type Late struct {
	Signal  string
	Seconds float64
}

// Span is a part of a recording, in seconds as in [Recording.Time], both ends included.
type Span struct{ From, To float64 }
