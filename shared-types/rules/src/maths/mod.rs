//! Pure computation behind the checks: numbers in, numbers out; no site, no clock, no files.
