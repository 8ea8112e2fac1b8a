package scenarios

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/goccy/go-yaml/ast"
)

func (c *checker) scalar(p place, t reflect.Type) {
	switch t.Kind() {
	case reflect.String:
		c.text(p)
	case reflect.Bool:
		if p.node.Type() != ast.BoolType {
			c.wrong(p, "true or false")
		}
	case reflect.Float32, reflect.Float64:
		c.number(p)
	default:
		c.whole(p, t)
	}
}

// text takes every single value: 420 and true are texts too where a text is wanted.
func (c *checker) text(p place) {
	if _, ok := p.node.(ast.ScalarNode); !ok || isNull(p.node) {
		c.wrong(p, "a text")
	}
}

func (c *checker) number(p place) {
	text, quoted := scalarText(p.node)
	switch {
	case !isDecimal(text):
		c.wrong(p, "a number")
	case quoted:
		c.wrong(p, "a number, without quotes")
	}
}

func (c *checker) whole(p place, t reflect.Type) {
	text, quoted := scalarText(p.node)
	must := "a whole number"
	if isDigits(strings.TrimLeft(text, "+-")) && !quoted {
		must += " " + integerRange(t)
	}
	var err error
	if isUnsigned(t) {
		_, err = strconv.ParseUint(text, 10, t.Bits())
	} else {
		_, err = strconv.ParseInt(text, 10, t.Bits())
	}
	switch {
	case err != nil:
		c.wrong(p, must)
	case quoted:
		c.wrong(p, must+", without quotes")
	}
}

func isUnsigned(t reflect.Type) bool { return strings.HasPrefix(t.Kind().String(), "uint") }

func integerRange(t reflect.Type) string {
	if isUnsigned(t) {
		return fmt.Sprintf("from 0 to %d", uint64(1)<<t.Bits()-1)
	}
	most := int64(uint64(1)<<(t.Bits()-1) - 1)
	return fmt.Sprintf("from %d to %d", -most-1, most)
}

const durationWords = "a duration such as 250us, 8ms, 1.5s or 8h"

// duration wants a time with its unit. The decoder takes any sign, and no bare 0.
func (c *checker) duration(p place) {
	text, _ := scalarText(p.node)
	if zero, ok := p.node.(*ast.IntegerNode); ok && text == "0" {
		zero.Value = time.Duration(0)
		return
	}
	d, err := time.ParseDuration(text)
	switch {
	case isDigits(strings.Replace(text, ".", "", 1)):
		c.wrong(p, fmt.Sprintf("written with its unit, such as %ss or %sms", text, text))
	case err != nil:
		c.wrong(p, durationWords)
	case d < 0 || strings.HasPrefix(text, "-"):
		c.wrong(p, "0 or more")
	}
}

// scalarText is a scalar as it is written; a text of several lines and all that is
// not a scalar give nothing.
func scalarText(node ast.Node) (text string, quoted bool) {
	switch n := node.(type) {
	case *ast.StringNode:
		return n.Value, isQuoted(n)
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return node.GetToken().Value, false
	}
	return "", false
}

// found says what a node is.
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
