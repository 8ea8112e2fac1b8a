package st

import (
	"math/big"
	"strconv"
	"strings"
)

// The precedence of the operators, from the table of IEC 61131-3 (2013), from memory: the sign
// and NOT bind tightest, then ** * / MOD, + -, comparisons, = and <>, AND, XOR, OR. Operators of
// one level are taken from left to right.
const (
	lowestPrecedence = 1
	powerPrecedence  = 8
)

func precedence(t token) int {
	if t.kind != tokKeyword && t.kind != tokMark {
		return 0
	}
	switch t.word {
	case "OR":
		return 1
	case "XOR":
		return 2
	case "AND", "&":
		return 3
	case "=", "<>":
		return 4
	case "<", ">", "<=", ">=":
		return 5
	case "+", "-":
		return 6
	case "*", "/", "MOD":
		return 7
	case "**", "^":
		return powerPrecedence
	}
	return 0
}

func (p *parser) expression() expr {
	p.enter()
	defer p.leave()
	return p.binary(lowestPrecedence)
}

// binary is an expression whose operators bind at least as tight as a level.
func (p *parser) binary(level int) expr {
	x := p.unary()
	for n := 0; ; n++ {
		t := p.operator()
		own := precedence(t)
		if own < level || own == 0 {
			return x
		}
		if n >= 1000 {
			p.fail("the expression has more than 1000 operators in a row; take a part out into a variable")
		}
		p.take()
		y := p.binary(own + 1)
		if t.is("^") {
			x = badExpr(x.info().at.until(y.info().at))
			continue
		}
		op := t.word
		if op == "&" {
			op = "AND"
		}
		if x, ok := x.(*unaryExpr); ok && op == "**" && x.op == "-" {
			p.src.warnf(x.at, "the sign binds tighter than **: this is (%s) ** …; write parentheses around what is meant", p.src.piece(x.at))
		}
		x = &binaryExpr{exprInfo: exprInfo{at: x.info().at.until(y.info().at)}, op: op, opAt: t.at, x: x, y: y}
	}
}

// operator is the present token. => in place of >= is read as that, ^ in place of ** is reported.
func (p *parser) operator() token {
	t := p.tok()
	switch {
	case t.is("=>"):
		p.src.errorf(t.at, "=> hands over an output within a call; write >= to compare")
		t.word = ">="
	case t.is("^"):
		p.src.errorf(t.at, "^ is no operator; write ** for a power, XOR for bits")
	}
	return t
}

func (p *parser) unary() expr {
	t := p.tok()
	if !t.is("-") && !t.is("+") && !t.is("NOT") {
		return p.primary()
	}
	p.enter()
	defer p.leave()
	p.take()
	x := p.unary()
	return &unaryExpr{exprInfo: exprInfo{at: t.at.until(x.info().at)}, op: t.word, x: x}
}

func (p *parser) primary() expr {
	t := p.tok()
	switch {
	case t.is("("):
		p.take()
		x := p.compared()
		p.expect(")", "to close the parenthesis")
		return &parenExpr{exprInfo: exprInfo{at: t.at.until(p.last)}, x: x}
	case t.kind == tokTyped:
		return p.typed()
	case t.kind == tokName:
		x := p.designator()
		if p.tok().is("(") {
			return p.call(x)
		}
		return x
	case (t.is("AND") || t.is("OR") || t.is("XOR") || t.is("MOD")) && p.ahead(1).is("("):
		p.take()
		return p.callOf(t.word, t.at, t.at)
	}
	return p.literal("")
}

// typed is a literal with a type, or an enumerated value with its type.
func (p *parser) typed() expr {
	prefix := p.take()
	name := strings.TrimSuffix(prefix.word, "#")
	if t := p.tok(); t.kind == tokName {
		p.take()
		return &nameExpr{exprInfo: exprInfo{at: prefix.at.until(t.at)}, typed: name, name: t.word}
	}
	sign := p.tok()
	if sign.is("-") || sign.is("+") {
		p.take()
	}
	lit := p.literal(name)
	lit.at = prefix.at.until(lit.at)
	if sign.is("-") {
		lit.negate()
	}
	return lit
}

func (l *literal) negate() {
	if l.value.whole != nil {
		l.value.whole.Neg(l.value.whole)
	}
	l.value.real = -l.value.real
}

func (p *parser) literal(typed string) *literal {
	t := p.tok()
	lit := &literal{exprInfo: exprInfo{at: t.at}, kind: t.kind, typed: typed}
	switch {
	case t.kind == tokInteger && p.decimalComma():
		lit.at, lit.kind = t.at.until(p.ahead(2).at), tokReal
		text := p.src.piece(lit.at)
		p.src.errorf(lit.at, "%s has a comma; decimals follow a point, as in %s", text, strings.Replace(text, ",", ".", 1))
		lit.value.real, _ = strconv.ParseFloat(strings.NewReplacer(",", ".", "_", "").Replace(text), 64) // 0 in place of what is no number
		p.take()
		p.take()
	case t.kind == tokInteger:
		lit.value.whole = p.integer(t)
	case t.kind == tokReal:
		v, err := strconv.ParseFloat(strings.ReplaceAll(t.word, "_", ""), 64)
		if err != nil {
			p.src.errorf(t.at, "%s is too large for an LREAL", t.word)
			lit.kind = tokBad
		}
		lit.value.real = v
	case t.kind == tokString:
		lit.value.text = t.text
	case t.kind == tokDuration:
		lit.value.integer = t.number
	case t.is("TRUE"):
		lit.value.integer = 1
	case t.is("FALSE"), t.kind == tokBad:
	default:
		p.refuseUnsupported()
		p.fail("found %s; must be a value", p.found())
	}
	p.take()
	if t.kind == tokBad && p.tok().is("(") { // the call of what has been refused
		p.arguments()
	}
	return lit
}

// decimalComma is whether a number goes on with a comma and digits where there is no list.
func (p *parser) decimalComma() bool {
	t, comma, digits := p.tok(), p.ahead(1), p.ahead(2)
	return p.alone && comma.is(",") && digits.kind == tokInteger && t.at.to == comma.at.from && comma.at.to == digits.at.from
}

// compared is an expression. := in it is reported, and read as =.
func (p *parser) compared() expr {
	e := p.expression()
	for t := p.tok(); t.is(":="); t = p.tok() {
		p.src.errorf(t.at, "a comparison is written with =; := assigns")
		p.take()
		p.expression()
		e = badExpr(e.info().at.until(p.last))
	}
	return e
}

// integer reads digits with an optional base of 2, 8, 10 or 16.
func (p *parser) integer(t token) *big.Int {
	base, digits, based := strings.Cut(t.word, "#")
	if !based {
		base, digits = "10", t.word
	}
	radix, err := strconv.Atoi(base)
	if err != nil || radix != 2 && radix != 8 && radix != 10 && radix != 16 {
		p.src.errorf(t.at, "%s is no base; the bases are 2, 8 and 16", base)
		return big.NewInt(0)
	}
	clean := strings.ReplaceAll(digits, "_", "")
	v, ok := new(big.Int).SetString(clean, radix)
	switch {
	case len(clean) > 64, ok && v.BitLen() > 64:
		p.src.errorf(t.at, "%s is too large; the largest integer has 64 bits", t.word)
		return big.NewInt(0)
	case clean == "":
		p.src.errorf(t.at, "digits are missing after %s#", base)
		return big.NewInt(0)
	case !ok && !based:
		p.src.errorf(t.at, "%q is no number%s", t.word, realHint(t.word))
		return big.NewInt(0)
	case !ok:
		p.src.errorf(t.at, "%q has digits that base %d does not have", t.word, radix)
		return big.NewInt(0)
	}
	return v
}

// realHint is for numbers such as 1E3.
func realHint(word string) string {
	for _, b := range []struct{ prefix, base string }{{"0X", "16#"}, {"0B", "2#"}, {"0O", "8#"}} {
		if digits, ok := strings.CutPrefix(upper(word), b.prefix); ok && digits != "" {
			return "; write " + b.base + digits
		}
	}
	if mantissa, exponent, ok := strings.Cut(upper(word), "E"); ok && strings.Trim(mantissa, "0123456789_") == "" {
		return "; a real number has a point, as in " + mantissa + ".0E" + exponent
	}
	return "; a name begins with a letter, and a unit is part of a duration such as T#5s only"
}
