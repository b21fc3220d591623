package web

// verdictPages are the pages of the verdict.
func (s *Site) verdictPages() map[string]handler {
	return map[string]handler{}
}
