package sequence

// Place is where the value of a signal is in an image. One of the three is set, by kind; none if the
// signal is not in the image, and for an output that is one of its Words, see [Signal.PutWord]. It
// serves those who move values in every scan: they look it up once.
type Place struct {
	Boolean *bool
	Number  *float64
	Text    *string
}

// In is the place of an input, or of a value made by [KeptSignals].
func (s *Signal) In(in *Inputs) (p Place) {
	switch {
	case s.in.boolean != nil:
		p.Boolean = s.in.boolean(in)
	case s.in.number != nil:
		p.Number = s.in.number(in)
	case s.in.word != nil:
		p.Text = s.in.word(in)
	}
	return p
}

// Out is the place of an output.
func (s *Signal) Out(out *Outputs) (p Place) {
	switch {
	case s.out.boolean != nil:
		p.Boolean = s.out.boolean(out)
	case s.out.number != nil:
		p.Number = s.out.number(out)
	case s.out.text != nil:
		p.Text = s.out.text(out)
	}
	return p
}

// PutWord sets an output to a word by its place in Words; one without such words stays.
func (s *Signal) PutWord(out *Outputs, place int) {
	if s.out.set != nil {
		s.out.set(out, place)
	}
}
