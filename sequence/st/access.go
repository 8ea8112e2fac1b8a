package st

import (
	"fmt"
	"math"
	"strconv"
	"time"
)

// Bool is the value of a BOOL.
func (m *Machine) Bool(r Ref) bool { return m.run.mem[r.offset] != 0 }

// Int is the value of an integer, a bit string or an enumeration; that of a ULINT or LWORD as
// the int64 with the same bits.
func (m *Machine) Int(r Ref) int64 { return int64(m.run.mem[r.offset]) }

// Real is the value of a REAL or LREAL.
func (m *Machine) Real(r Ref) float64 { return realOf(m.run.mem[r.offset]) }

// Time is the value of a TIME.
func (m *Machine) Time(r Ref) time.Duration { return time.Duration(m.run.mem[r.offset]) }

// Number is the value of any number; that of a TIME in seconds, that of a BOOL 0 or 1.
func (m *Machine) Number(r Ref) float64 {
	switch k := r.kind; {
	case k.real():
		return m.Real(r)
	case k == Time:
		return m.Time(r).Seconds()
	case k == Ulint || k == Lword:
		return float64(m.run.mem[r.offset])
	}
	return float64(m.Int(r))
}

// Text is the value of a STRING.
func (m *Machine) Text(r Ref) string {
	var buffer [MaxStringLength]byte
	text := loadText(m.run.mem[r.offset:], buffer[:min(r.typ.length, MaxStringLength)])
	runes := make([]rune, len(text))
	for i, b := range text {
		runes[i] = rune(b) // ISO 8859-1
	}
	return string(runes)
}

// Format is a value as it would be written in the program.
func (m *Machine) Format(r Ref) string {
	switch k := r.kind; {
	case k == Bool && m.Bool(r):
		return "TRUE"
	case k == Bool:
		return "FALSE"
	case k == Enum:
		return r.typ.Word(m.Int(r))
	case k.real():
		return string(appendReal(nil, m.Real(r), k))
	case k == Time:
		return string(appendDuration(nil, int64(m.Time(r))))
	case k == String:
		return "'" + m.Text(r) + "'"
	case k.bits():
		return string(appendHex([]byte("16#"), uint64(m.Int(r)), k.width()/4))
	case k.integer():
		return orderedText(k, ordered(k, m.Int(r)))
	}
	return r.typ.String()
}

// Word is the name of a value of an enumeration; the number of a value that has none.
func (t *Type) Word(v int64) string {
	for _, w := range t.values {
		if w.Value == v {
			return w.Name
		}
	}
	return strconv.FormatInt(v, 10)
}

// SetBool sets a BOOL.
func (m *Machine) SetBool(r Ref, v bool) error {
	if r.kind != Bool || r.fixed {
		return r.refuse("cannot be TRUE or FALSE")
	}
	m.run.mem[r.offset] = bit(v)
	return nil
}

// SetInt sets an integer, a bit string or an enumeration.
func (m *Machine) SetInt(r Ref, v int64) error {
	k := r.kind
	if !k.integer() && !k.bits() && k != Enum || r.fixed {
		return r.refuse("cannot be an integer")
	}
	low, high := k.limits()
	switch o := ordered(k, v); {
	case r.typ.limited && (o < r.typ.low || o > r.typ.high):
		return r.refuse("cannot be " + orderedText(k, o))
	case k.width() < 64 && k != Enum && (v < low || v > high):
		return r.refuse(fmt.Sprintf("cannot be %d; must be from %d to %d", v, low, high))
	case k == Enum && !r.typ.has(v):
		return r.refuse(fmt.Sprintf("has no value %d", v))
	}
	m.run.mem[r.offset] = uint64(v)
	return nil
}

func (t *Type) has(v int64) bool {
	for _, w := range t.values {
		if w.Value == v {
			return true
		}
	}
	return false
}

// SetReal sets a REAL or LREAL.
func (m *Machine) SetReal(r Ref, v float64) error {
	if r.kind == Real {
		v = float64(float32(v))
	}
	switch {
	case !r.kind.real() || r.fixed:
		return r.refuse("cannot be a real number")
	case v-v != 0:
		return r.refuse("must be a finite number that fits")
	}
	m.run.mem[r.offset] = slotOf(v)
	return nil
}

// SetTime sets a TIME.
func (m *Machine) SetTime(r Ref, v time.Duration) error {
	if r.kind != Time || r.fixed {
		return r.refuse("cannot be a duration")
	}
	m.run.mem[r.offset] = uint64(v)
	return nil
}

// SetNumber sets any number: an integer is rounded, a half to the even one; a TIME is in seconds.
func (m *Machine) SetNumber(r Ref, v float64) error {
	if r.kind.real() {
		return m.SetReal(r, v)
	}
	scale := 1.0
	if r.kind == Time {
		scale = float64(time.Second)
	}
	v = math.RoundToEven(v * scale)
	if !(math.Abs(v) < 1<<63) {
		return r.refuse("must be a finite number that fits")
	}
	if r.kind == Time {
		return m.SetTime(r, time.Duration(v))
	}
	return m.SetInt(r, int64(v))
}

// SetText sets a STRING, cut off at its length. What is not in ISO 8859-1 becomes a question
// mark.
func (m *Machine) SetText(r Ref, v string) error {
	if r.kind != String || r.fixed {
		return r.refuse("cannot be a string")
	}
	var buffer [MaxStringLength]byte
	n := 0
	for _, c := range v {
		if n == r.typ.length {
			break
		}
		if c > 0xff {
			c = '?'
		}
		buffer[n] = byte(c)
		n++
	}
	storeText(m.run.mem[r.offset:], r.typ.length, buffer[:n])
	return nil
}

// refuse says why a value is not taken. A CONSTANT that has gone into another value before the run,
// such as the limits of an array, takes none: it would change only a part of the program.
func (r Ref) refuse(why string) error {
	if r.fixed {
		return fmt.Errorf("%s is a CONSTANT that other values are made of before the run; change it in the text", r.path)
	}
	return fmt.Errorf("%s is %s and %s", r.path, r.typ, why)
}

// PutBool sets a BOOL without checks, for inputs that are set in every scan. The Ref must be that
// of a BOOL.
func (m *Machine) PutBool(r Ref, v bool) { m.run.mem[r.offset] = bit(v) }

// PutInt sets an integer, a bit string, an enumeration, a TIME in ns or a BOOL as 0 or 1 without
// checks. The value must be one of its type.
func (m *Machine) PutInt(r Ref, v int64) { m.run.mem[r.offset] = uint64(v) }

// PutReal sets a REAL or LREAL without checks but for the rounding of a REAL. The value must be
// finite.
func (m *Machine) PutReal(r Ref, v float64) {
	if r.kind == Real {
		v = float64(float32(v))
	}
	m.run.mem[r.offset] = slotOf(v)
}

// TextIs is whether a STRING has a value. Unlike a comparison with Text it allocates nothing.
func (m *Machine) TextIs(r Ref, text string) bool {
	var buffer [MaxStringLength]byte
	has := loadText(m.run.mem[r.offset:], buffer[:min(r.typ.length, MaxStringLength)])
	n := 0
	for _, c := range text {
		if n == len(has) || rune(has[n]) != c { // ISO 8859-1
			return false
		}
		n++
	}
	return n == len(has)
}
