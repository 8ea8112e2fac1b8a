package sequence

// What follows reads and writes images in every scan, and allocates nothing.

// InputBoolean is a boolean of the image; false for any other signal.
func (s *Signal) InputBoolean(in *Inputs) bool {
	return s.in.boolean != nil && *s.in.boolean(in)
}

// InputWord is a word of the image, empty for any other signal.
func (s *Signal) InputWord(in *Inputs) string {
	if s.in.word == nil {
		return ""
	}
	return *s.in.word(in)
}

// PutBoolean sets an output that is a boolean; any other stays.
func (s *Signal) PutBoolean(out *Outputs, on bool) {
	if s.out.boolean != nil {
		*s.out.boolean(out) = on
	}
}

// PutNumber sets an output that is a number; any other stays.
func (s *Signal) PutNumber(out *Outputs, x float64) {
	if s.out.number != nil {
		*s.out.number(out) = x
	}
}

// PutWord sets an output to a word by its place in Words; one without such words stays.
func (s *Signal) PutWord(out *Outputs, place int) {
	if s.out.set != nil {
		s.out.set(out, place)
	}
}

// PutText sets an output that is free text; any other stays.
func (s *Signal) PutText(out *Outputs, text string) {
	if s.out.text != nil {
		*s.out.text(out) = text
	}
}

// OutputText is an output that is free text; empty for any other.
func (s *Signal) OutputText(out *Outputs) string {
	if s.out.text == nil {
		return ""
	}
	return *s.out.text(out)
}
