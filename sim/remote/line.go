package remote

import (
	"math"
	"strconv"
	"time"

	"holdbench/sequence"
)

// appendScan appends the line of a scan. It allocates only where dst must grow.
func (v *vocabulary) appendScan(dst []byte, n int64, in *sequence.Inputs) []byte {
	dst = append(dst, `{"type":"scan","n":`...)
	dst = strconv.AppendInt(dst, n, 10)
	dst = append(dst, `,"t_s":`...)
	dst = appendNumber(dst, seconds(in.Clock))
	dst = append(dst, `,"inputs":{`...)
	for i := range v.inputs {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = append(dst, v.keys[i]...)
		dst = appendInput(dst, &v.inputs[i], in)
	}
	return append(dst, "}}\n"...)
}

// appendInput appends a value as JSON. Words of inputs need no escapes.
func appendInput(dst []byte, s *sequence.Signal, in *sequence.Inputs) []byte {
	switch s.Kind {
	case sequence.KindNumber:
		return appendNumber(dst, s.InputNumber(in))
	case sequence.KindWord:
		dst = append(dst, '"')
		dst = s.AppendInput(dst, in)
		return append(dst, '"')
	}
	return s.AppendInput(dst, in)
}

// appendNumber appends the shortest text that reads back as the same number, and null for what is no
// number.
func appendNumber(dst []byte, v float64) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return append(dst, "null"...)
	}
	return strconv.AppendFloat(dst, v, 'g', -1, 64)
}

// appendPowerUp appends the line of the return of power.
func appendPowerUp(dst []byte, n int64) []byte {
	dst = append(dst, `{"type":"power_up","n":`...)
	dst = strconv.AppendInt(dst, n, 10)
	return append(dst, "}\n"...)
}

// appendReset appends the line of a new run on a rig, in the place of a sequence. The controller is not
// told which scenario it is in.
func (v *vocabulary) appendReset(dst []byte, n int64, of, rig string, scan time.Duration) []byte {
	dst = append(dst, `{"type":"reset","n":`...)
	dst = strconv.AppendInt(dst, n, 10)
	dst = append(dst, `,"rig":`...)
	dst = appendText(dst, rig)
	dst = append(dst, `,"sequence":`...)
	dst = appendText(dst, of)
	dst = append(dst, `,"scan_s":`...)
	dst = appendNumber(dst, seconds(scan))
	dst = append(dst, `,"params":{`...)
	for i := range v.about.Params {
		p := &v.about.Params[i]
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = appendText(dst, p.Name)
		dst = append(dst, ':')
		if p.Kind == sequence.KindBoolean {
			dst = strconv.AppendBool(dst, p.Boolean)
		} else {
			dst = appendNumber(dst, p.Number)
		}
	}
	return append(dst, "}}\n"...)
}
