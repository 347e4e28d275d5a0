"""book"""
