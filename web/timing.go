package web

// timingPages are the timing page and what it talks to.
func (s *Site) timingPages() map[string]handler {
	return map[string]handler{}
}
