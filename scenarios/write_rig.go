package scenarios

import (
	"fmt"
	"regexp"
	"strings"

	"holdbench/plant"
)

// RigValue is a value that a rig's document gets.
type RigValue struct {
	Path   string // such as load.mass_kg, or sequence.test_torque_nm
	Text   string // as a document has it
	Remark string // becomes a comment beside it
}

// RewriteRig gives the document of a rig other values and leaves the rest of it as it is, comments included. A
// value that the document does not have is added to its section. The text has been read back to
// a rig with these values.
func RewriteRig(reference string, values []RigValue) ([]byte, error) {
	name, text, err := Text(RigKind, reference)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(strings.TrimRight(normalised(text), "\n"), "\n")
	for _, v := range values {
		src, err := read(name, []byte(strings.Join(lines, "\n")+"\n"))
		if err != nil {
			return nil, err
		}
		if lines, err = rewritten(src, lines, v); err != nil {
			return nil, fmt.Errorf("cannot write %s into %s: %w", v.Path, name, err)
		}
	}
	out := []byte(strings.Join(lines, "\n") + "\n")
	rig, _, err := ParseRig(name, out)
	if err != nil {
		return nil, fmt.Errorf("cannot write %s with these values: %w", name, err)
	}
	for _, v := range values {
		if !reads(rig, &v) {
			return nil, fmt.Errorf("cannot write %s into %s: it reads back differently", v.Path, name)
		}
	}
	return out, nil
}

// RewriteHead puts a comment at the top of a document, in place of the comment lines that are there. It returns these
// as well, without their signs.
func RewriteHead(text []byte, head string) (rewritten []byte, before string) {
	rest := string(text)
	var lines []string
	for strings.HasPrefix(rest, "#") {
		line, after, _ := strings.Cut(rest, "\n")
		lines, rest = append(lines, strings.TrimSpace(strings.TrimLeft(line, "#"))), after
	}
	return []byte(commented(head) + rest), strings.Join(lines, "\n")
}

// reads is whether a rig has a value: of its own, or of a parameter of a sequence.
func reads(rig *plant.Rig, v *RigValue) bool {
	if parameter, ok := strings.CutPrefix(v.Path, "sequence."); ok {
		return rig.Sequence[parameter] == v.Text
	}
	f, ok := plant.FindField(v.Path)
	return ok && sameValue(f, rig, v.Text)
}

// sameValue is whether a rig has the value of a text.
func sameValue(f *plant.Field, r *plant.Rig, text string) bool {
	other := *r
	return f.Set(&other, text) == nil && f.Text(&other) == f.Text(r)
}

// valueLine is a line of a document with a value that is no mapping: key, value, comment.
var valueLine = regexp.MustCompile(`^( *[a-z0-9_]+: *)([^#{\[]*?)( *#.*)?$`)

// rewritten changes the line of a value, or adds one.
func rewritten(src *source, lines []string, v RigValue) ([]string, error) {
	section, key, _ := strings.Cut(v.Path, ".")
	if at, whole := src.find("$." + v.Path); whole && at.node != nil {
		n := at.node.GetToken().Position.Line - 1
		parts := valueLine.FindStringSubmatch(lines[n])
		if parts == nil {
			return nil, fmt.Errorf("line %d is %q; must have one key with its value", n+1, lines[n])
		}
		lines[n] = parts[1] + v.Text + remarkText(v.Remark, strings.TrimSpace(strings.TrimLeft(parts[3], " #")))
		return lines, nil
	}
	added := indentStep + key + ": " + v.Text + remarkText(v.Remark, "")
	at, whole := src.find("$." + section)
	if !whole || at.node == nil {
		return append(lines, section+":", added), nil
	}
	n := src.within("$."+section, 0).line
	for n > 0 && !strings.HasPrefix(lines[n-1], section+":") {
		n--
	}
	if n == 0 || strings.TrimSpace(strings.SplitN(lines[n-1], "#", 2)[0]) != section+":" {
		return nil, fmt.Errorf("section %s is on one line; must have a line for each key", section)
	}
	return append(lines[:n], append([]string{added}, lines[n:]...)...), nil
}

func remarkText(remark, before string) string {
	text := strings.TrimSpace(strings.TrimSuffix(commented(remark), "\n"))
	if before != "" {
		text += "; before: " + before
	}
	return "   " + text
}
