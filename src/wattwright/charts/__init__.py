"""Chart specs made from results, the same for page and paper."""
