package recording

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// ParseColumns reads columns as people write them, separated by commas: SIGNAL=COLUMN, the column by its name or
// its number as #3, with a sign ahead of it and *SCALE and +OFFSET behind it. A name with one of , = * + - # in it
// stands in double quotes. SIGNAL= leaves a signal out; without = the column has the name of the signal.
func ParseColumns(text string) ([]Column, error) {
	var list []Column
	for _, item := range items(text) {
		name, rest, named := strings.Cut(item, "=")
		if !named {
			rest = item
		}
		c, err := parseColumn(strings.TrimSpace(rest))
		if err != nil {
			return nil, fmt.Errorf("%q: %w", item, err)
		}
		if c.Signal = strings.TrimSpace(name); !named {
			c.Signal, c.Column = c.Column, ""
		}
		c.Absent = named && strings.TrimSpace(rest) == ""
		if len(signalsOf(c.Signal)) == 0 {
			return nil, fmt.Errorf("%q is no signal; must be one of %s", c.Signal, signalNames())
		}
		list = append(list, c)
	}
	return list, nil
}

func parseColumn(text string) (Column, error) {
	const num = `\d+(?:\.\d*)?(?:[eE][+-]?\d+)?`
	form := regexp.MustCompile(`^(-?)(?:"([^"]+)"|(.*?))\s*(?:\*\s*([+-]?` + num + `))?\s*([+-]\s*` + num + `)?$`)
	m := form.FindStringSubmatch(text)
	if m == nil {
		return Column{}, errors.New("must be a column with a scale and an offset, as in torque=trq*0.1+2")
	}
	c := Column{Column: m[2] + strings.TrimSpace(m[3]), Scale: 1}
	var err error
	if m[4] != "" {
		if c.Scale, err = strconv.ParseFloat(m[4], 64); err != nil || c.Scale == 0 {
			return Column{}, fmt.Errorf("the scale is %s; must not be zero nor too large", m[4])
		}
	}
	if m[5] != "" {
		if c.Offset, err = strconv.ParseFloat(strings.ReplaceAll(m[5], " ", ""), 64); err != nil {
			return Column{}, fmt.Errorf("the offset is %s; must be smaller", m[5])
		}
	}
	if m[1] != "" {
		c.Scale = -c.Scale
	}
	return c, nil
}

// items are the parts of a text between commas that are not in double quotes.
func items(text string) []string {
	var list []string
	inside := false
	for _, part := range strings.FieldsFunc(text, func(r rune) bool {
		if r == '"' {
			inside = !inside
		}
		return r == ',' && !inside
	}) {
		if strings.TrimSpace(part) != "" {
			list = append(list, strings.TrimSpace(part))
		}
	}
	return list
}

// ParseUnits reads units as in position=um,speed=rpm.
func ParseUnits(text string) ([]Unit, error) {
	var list []Unit
	for _, item := range items(text) {
		name, unit, _ := strings.Cut(item, "=")
		u := Unit{strings.TrimSpace(name), strings.TrimSpace(unit)}
		candidates, accepted := signalsOf(u.Signal), []string{}
		if len(candidates) == 0 {
			return nil, fmt.Errorf("%q is no signal; must be one of %s", u.Signal, signalNames())
		}
		known := u.Unit == "%"
		for _, s := range candidates {
			_, ok := s.factor(u.Unit)
			known = known || ok
			accepted = append(accepted, s.unitNames())
		}
		if !known {
			return nil, fmt.Errorf("%q is no unit of %s; must be one of %s", u.Unit, u.Signal, strings.Join(accepted, ", "))
		}
		list = append(list, u)
	}
	return list, nil
}

// ParseLate reads delays as in torque=2ms,current_rms=500us.
func ParseLate(text string) ([]Late, error) {
	var list []Late
	for _, item := range items(text) {
		name, delay, _ := strings.Cut(item, "=")
		name = strings.TrimSpace(name)
		if len(signalsOf(name)) == 0 {
			return nil, fmt.Errorf("%q is no signal; must be one of %s", name, signalNames())
		}
		d, err := time.ParseDuration(strings.TrimSpace(delay))
		if err != nil {
			return nil, fmt.Errorf("the delay of %s is %q; must be a time such as 2ms", name, delay)
		}
		list = append(list, Late{name, d.Seconds()})
	}
	return list, nil
}

// ParseSpan reads a span of time as in 10s..60s.
func ParseSpan(text string) (*Span, error) {
	from, to, two := strings.Cut(text, "..")
	a, err := time.ParseDuration(strings.TrimSpace(from))
	b, err2 := time.ParseDuration(strings.TrimSpace(to))
	if !two || err != nil || err2 != nil || b <= a {
		return nil, fmt.Errorf("%q is no span of time; must be such as 10s..60s, the later time last", text)
	}
	return &Span{a.Seconds(), b.Seconds()}, nil
}

// ParseSeparator reads a separator: the sign, or its name.
func ParseSeparator(text string) (rune, error) {
	switch text {
	case ",", "comma":
		return ',', nil
	case ";", "semicolon":
		return ';', nil
	case "|", "bar":
		return '|', nil
	case "\t", `\t`, "tab":
		return '\t', nil
	case " ", "space":
		return ' ', nil
	}
	return 0, fmt.Errorf("%q is no separator; must be comma, semicolon, tab, space or bar", text)
}

// ParseDecimal reads a decimal sign: the sign, or its name.
func ParseDecimal(text string) (rune, error) {
	switch text {
	case ".", "point":
		return '.', nil
	case ",", "comma":
		return ',', nil
	}
	return 0, fmt.Errorf("%q is no decimal sign; must be point or comma", text)
}
