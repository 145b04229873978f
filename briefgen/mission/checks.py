def check_file(file, spans):
    return []
