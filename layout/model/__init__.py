"""Floor 1: what a project asks and what a plan answers, as small frozen types that mirror the contract."""
