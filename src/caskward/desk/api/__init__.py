"""The desk's interface for programs, under `/api/v1/`: the same services as pages and commands, as JSON.

app          the application that the desk carries there: what it refuses, its description (OpenAPI)
door         who may come in: a token, or this machine's own desk
fields       what is asked for: parts of the address, and what is sent
answers, answers_batch, answers_report, gauged   what comes back, every field with its unit and what it is
places, batches, book, reports, gauging, recording   the addresses, each calling one service
"""
