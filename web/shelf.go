package web

// shelfPages are the pages of the gear.
func (s *Site) shelfPages() map[string]handler {
	return map[string]handler{}
}
