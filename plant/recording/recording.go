// Package recording has recorded signals of a real axis, as the recorder of a drive or of a controller writes
// them into a file of comma-separated values.
//
// Nothing is invented: a value that was not recorded at a time is NaN, and no value is interpolated.
package recording

import "slices"

// Recording is what was recorded on an axis.
type Recording struct {
	Source    string    // name of the file
	SHA256    string    // of the bytes of the whole file, hexadecimal
	Time      []float64 // s, rising; as recorded, or from the first line where the file has date-time stamps
	Start     string    // date and time of the first line, as 2024-05-31T12:00:00; empty where the file has no date
	Channels  []Channel // in the order of the columns
	Layout    Layout    // how the file was read
	step      float64   // s, usual step of the lines of the file; 0: that of the times
	Simulated bool      // it was read as a trace of a run: nothing in it counts as measured
}

// Channel is one recorded signal.
type Channel struct {
	Signal string    // as in a trace, see [Signals]
	Unit   string    // of the values: that of the signal, whatever the file has; empty without one
	Column string    // heading in the file, or its number such as #3
	ReadAs string    // unit in which the column was taken to be; empty: that of the values
	Turned bool      // the options have a - ahead of the column
	Words  []string  // of a word: a value is a place in this list; nil for numbers, and for true (1) and false (0)
	Values []float64 // one for each time; NaN: not recorded at that time
}

// Channel is the channel of a signal, nil if it was not recorded.
func (r *Recording) Channel(signal string) *Channel {
	i := slices.IndexFunc(r.Channels, func(c Channel) bool { return c.Signal == signal })
	if i < 0 {
		return nil
	}
	return &r.Channels[i]
}

// Values are those of a signal, nil if it was not recorded.
func (r *Recording) Values(signal string) []float64 {
	if c := r.Channel(signal); c != nil {
		return c.Values
	}
	return nil
}

// Layout is how a file was read: given by the options, or found.
type Layout struct {
	Encoding  string   // utf-8, utf-16le, utf-16be or latin-1
	Separator rune     // between cells
	Decimal   rune     // of numbers: . or ,
	Heading   int      // line of the names of the columns, from 1; 0 without one
	Units     int      // line of the units, 0 without one
	Repeated  int      // lines with the time of the line ahead of them that add nothing to it
	LeftOut   []string // columns that are no signal
}
