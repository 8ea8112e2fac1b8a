package controller

import (
	"errors"
	"strings"
)

// Words splits a command line as a shell does: at spaces, with quotes and backslashes. No shell runs:
// nothing else has a meaning.
func Words(line string) ([]string, error) {
	var words []string
	var word strings.Builder
	var quote rune
	begun, escaped := false, false
	for _, r := range line {
		switch {
		case escaped:
			word.WriteRune(r)
			escaped = false
		case r == '\\' && quote != '\'':
			begun, escaped = true, true
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == '\'' || r == '"'):
			begun, quote = true, r
		case quote == 0 && strings.ContainsRune(" \t\n", r):
			if begun {
				words = append(words, word.String())
			}
			word.Reset()
			begun = false
		default:
			begun = true
			word.WriteRune(r)
		}
	}
	switch {
	case quote != 0:
		return nil, errors.New("has a quote that is not closed")
	case escaped:
		return nil, errors.New("ends with a backslash")
	case begun:
		words = append(words, word.String())
	}
	if len(words) == 0 || words[0] == "" {
		return nil, errors.New("is empty; must be a program with its arguments, such as './axis --fast'")
	}
	return words, nil
}
