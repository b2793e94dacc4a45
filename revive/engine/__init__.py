"""Decide: conditions, facts, gates, plan. Pure; no prompts, files, clock or printing."""
