package web

// trialPages are the pages of a trial as a whole.
func (s *Site) trialPages() map[string]handler {
	return map[string]handler{}
}
