package sequence

import (
	"strings"
	"sync"
)

// Unit is a product of base units, each to a whole power. The zero Unit is a
// plain number. Units compare with ==.
type Unit struct{ power [baseUnits]int16 }

// The base units. Amplitude and rms of a current are different units, so that
// mixing them up is found.
const (
	baseMM = iota
	baseDeg
	baseNM
	baseA
	baseRMSA
	baseS
	baseKG
	baseUnits
)

// suffix is one ending of a name and the unit that it means.
type suffix struct {
	ending string
	unit   Unit
}

// suffixes is the table of endings; the longest that fits counts, so the longer
// ones come first.
//
//nolint:gochecknoglobals // made once, never changed
var suffixes = sync.OnceValue(func() []suffix {
	return []suffix{
		{"_nm_per_rms_a", base(baseNM).per(base(baseRMSA))},
		{"_rms_a", base(baseRMSA)},
		{"_mm_s2", base(baseMM).per(base(baseS)).per(base(baseS))},
		{"_deg_s", base(baseDeg).per(base(baseS))},
		{"_mm_s", base(baseMM).per(base(baseS))},
		{"_nm_s", base(baseNM).per(base(baseS))},
		{"_deg", base(baseDeg)},
		{"_mm", base(baseMM)},
		{"_nm", base(baseNM)},
		{"_kg", base(baseKG)},
		{"_a", base(baseA)},
		{"_s", base(baseS)},
	}
})

func base(i int) Unit {
	var u Unit
	u.power[i] = 1
	return u
}

// UnitOf reads the unit off the end of a name: position_mm is in mm, speed in
// mm/s, a name without a known ending is a plain number.
func UnitOf(name string) Unit {
	if name == "speed" {
		return base(baseMM).per(base(baseS))
	}
	for _, s := range suffixes() {
		if strings.HasSuffix(name, s.ending) {
			return s.unit
		}
	}
	return Unit{}
}

func (u Unit) times(v Unit) Unit {
	for i := range u.power {
		u.power[i] += v.power[i]
	}
	return u
}

func (u Unit) per(v Unit) Unit {
	for i := range u.power {
		u.power[i] -= v.power[i]
	}
	return u
}

// root is the unit of a square root; false if a power is odd.
func (u Unit) root() (Unit, bool) {
	for i, p := range u.power {
		if p%2 != 0 {
			return Unit{}, false
		}
		u.power[i] = p / 2
	}
	return u, true
}

// String writes the unit for display: mm/s, N·m/A rms; a plain number is "".
func (u Unit) String() string {
	names := [baseUnits]string{"mm", "deg", "N·m", "A", "A rms", "s", "kg"}
	var over, under []string
	for i, p := range u.power {
		switch {
		case p > 0:
			over = append(over, powerText(names[i], p))
		case p < 0:
			under = append(under, powerText(names[i], -p))
		}
	}
	return fraction(over, under)
}

func fraction(over, under []string) string {
	text := strings.Join(over, "·")
	if len(under) == 0 {
		return text
	}
	if text == "" {
		text = "1"
	}
	return text + "/" + strings.Join(under, "/")
}

func powerText(name string, p int16) string {
	switch {
	case p == 1:
		return name
	case p < 10:
		return name + "^" + string('0'+rune(p))
	}
	return name + "^many"
}
