package scenarios

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/goccy/go-yaml/ast"
)

func (r *reader) scalar(p place, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		r.text(p, v)
	case reflect.Bool:
		if b, ok := p.node.(*ast.BoolNode); ok {
			v.SetBool(b.Value)
		} else {
			r.wrong(p, "true or false")
		}
	case reflect.Float64:
		r.number(p, v)
	default:
		r.whole(p, v)
	}
}

// text takes every single value: 420 and true are texts too where the value must be a text.
func (r *reader) text(p place, v reflect.Value) {
	if text, ok := textOf(p.node); ok {
		v.SetString(text)
	} else {
		r.wrong(p, "a text")
	}
}

// textOf is a single value as a text; a number is written in its shortest form.
func textOf(node ast.Node) (text string, ok bool) {
	switch n := node.(type) {
	case *ast.LiteralNode:
		return n.Value.Value, true
	case *ast.NullNode:
		return "", false
	case ast.ScalarNode:
		return fmt.Sprint(n.GetValue()), true
	}
	return "", false
}

func (r *reader) number(p place, v reflect.Value) {
	text, quoted := scalarText(p.node)
	switch {
	case !isDecimal(text):
		r.wrong(p, "a number")
	case quoted:
		r.wrong(p, "a number, without quotes")
	default:
		x, _ := strconv.ParseFloat(text, 64) // a number that is too large was found before
		v.SetFloat(x)
	}
}

func (r *reader) whole(p place, v reflect.Value) {
	text, quoted := scalarText(p.node)
	must := "a whole number"
	if isDigits(strings.TrimLeft(text, "+-")) && !quoted {
		must += " " + integerRange(v.Type())
	}
	switch err := setWhole(v, text); {
	case err != nil:
		r.wrong(p, must)
	case quoted:
		r.wrong(p, must+", without quotes")
	}
}

func setWhole(v reflect.Value, text string) error {
	if v.CanUint() {
		n, err := strconv.ParseUint(text, 10, v.Type().Bits())
		if err == nil {
			v.SetUint(n)
		}
		return err
	}
	n, err := strconv.ParseInt(text, 10, v.Type().Bits())
	if err == nil {
		v.SetInt(n)
	}
	return err
}

func integerRange(t reflect.Type) string {
	if strings.HasPrefix(t.Kind().String(), "uint") {
		return fmt.Sprintf("from 0 to %d", uint64(1)<<t.Bits()-1)
	}
	most := int64(uint64(1)<<(t.Bits()-1) - 1)
	return fmt.Sprintf("from %d to %d", -most-1, most)
}

const durationWords = "a duration such as 250us, 8ms, 1.5s or 8h"

// duration reads a time with its unit, or a bare 0.
func (r *reader) duration(p place, into *time.Duration) {
	text, _ := scalarText(p.node)
	d, err := time.ParseDuration(text)
	_, whole := p.node.(*ast.IntegerNode)
	switch {
	case whole && text == "0":
		*into = 0
	case isDigits(strings.Replace(text, ".", "", 1)):
		r.wrong(p, fmt.Sprintf("written with its unit, such as %ss or %sms", text, text))
	case err != nil:
		r.wrong(p, durationWords)
	case d < 0 || strings.HasPrefix(text, "-"):
		r.wrong(p, "0 or more")
	default:
		*into = d
	}
}

// scalarText is a scalar as it is written; a text of several lines and all that is
// not a scalar have none.
func scalarText(node ast.Node) (text string, quoted bool) {
	switch n := node.(type) {
	case *ast.StringNode:
		return n.Value, isQuoted(n)
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return node.GetToken().Value, false
	}
	return "", false
}

// found describes a node.
func found(node ast.Node) string {
	switch n := node.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return "a group of keys"
	case *ast.SequenceNode:
		return "a list"
	case *ast.LiteralNode:
		return "a text of several lines"
	case *ast.StringNode:
		if isDecimal(n.Value) && !isQuoted(n) {
			return clipped(n.Value) // a number that the library takes for text
		}
		return fmt.Sprintf("%q", clipped(n.Value))
	case *ast.NullNode:
		return "nothing"
	}
	return clipped(node.GetToken().Value)
}

const clippedRunes = 40

// clipped keeps a message on one line of sensible length.
func clipped(text string) string {
	if runes := []rune(text); len(runes) > clippedRunes {
		return string(runes[:clippedRunes]) + cut
	}
	return text
}
